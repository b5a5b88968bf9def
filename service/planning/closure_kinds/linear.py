"""The best shares there are: the dual of the linear relaxation, by HiGHS.

A variable for each model (chosen or not, between 0 and 1) and one for each set (missed or not): a set is missed to the
degree that its models are not chosen. The dual values of these rows are the shares. They are floating point and a
proposal only; :mod:`bound` checks them in whole numbers. HiGHS is imported when it is first needed: that takes a tenth
of a second, and few ask for it.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from service.planning.closure_kinds.aim import Aim
from service.planning.quiet_solver import quiet_solver

_QUICK, _LARGEST = 60_000, 400_000
"""Entries of a relaxation that is solved in no time, and of one that is solved in a second or two."""

_CLOSE = 0.08


def small_enough(aim: Aim) -> bool:
    """Whether the relaxation is solved in less time than steps of :mod:`ascent` take."""
    return _entries(aim) <= _QUICK


def too_large(aim: Aim) -> bool:
    """Whether the relaxation would take too long."""
    return _entries(aim) > _LARGEST


def may_close(aim: Aim, least: int, known: int) -> bool:
    """Whether the relaxation of a larger aim is likely to close the gap that steps left between a bound and a choice.

    Where steps came within some per cent it often is exact; where they did not, it is most often far off itself.
    """
    return least < known and not too_large(aim) and known - least <= _CLOSE * known


def _entries(aim: Aim) -> int:
    return int(aim.within.sum())


def dual_shares(aim: Aim, known: int) -> npt.NDArray[np.float64] | None:
    """The shares from the relaxation; None where the solver gave up. ``known`` is what a known choice costs.

    A set that costs more than that by itself cannot be missed: it has no variable, and the solver no large numbers.
    """
    import highspy

    sets, models = aim.within.shape
    hard = np.array([aim.floor + int(weight) > known for weight in aim.weights], dtype=bool)
    soft = np.flatnonzero(~hard)
    slack = np.full(sets, -1)
    slack[soft] = models + np.arange(len(soft))
    rows = [np.append(np.flatnonzero(row), own[own >= 0]) for row, own in zip(aim.within, slack[:, None], strict=True)]
    rows.append(np.arange(models))
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = models + len(soft), sets + 1
    lp.col_cost_ = np.concatenate([np.zeros(models), aim.weights[soft].astype(np.float64)])
    lp.col_lower_ = np.zeros(lp.num_col_)
    lp.col_upper_ = np.ones(lp.num_col_)
    lp.row_lower_ = np.append(np.ones(sets), -highspy.kHighsInf)
    lp.row_upper_ = np.append(np.full(sets, highspy.kHighsInf), float(aim.most))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum([len(row) for row in rows])])
    lp.a_matrix_.index_ = np.concatenate(rows)
    lp.a_matrix_.value_ = np.ones(len(lp.a_matrix_.index_))
    solver = quiet_solver()
    solver.passModel(lp)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return np.array(solver.getSolution().row_dual[:sets], dtype=np.float64)
