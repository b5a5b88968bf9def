"""A mixed-integer program, put together row by row, with objectives made least one after the other by HiGHS.

Each objective is solved by itself and then fixed: weighing them against each other would need weights that a solver in
floating point cannot tell apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from time import monotonic

import highspy

from tests.bench.clock import now

Terms = list[tuple[float, int]]
"""(coefficient, variable) pairs of a sum."""


@dataclass(slots=True)
class Program:
    """Whole-number variables with bounds, and rows that hold sums of them between bounds."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    rows: list[tuple[float, Terms, float]] = field(default_factory=list)

    def variable(self, most: int = 1) -> int:
        """A variable from 0 to ``most``."""
        self.lower.append(0.0)
        self.upper.append(float(most))
        return len(self.upper) - 1

    def at_most(self, terms: Terms, most: float) -> None:
        """The sum is ``most`` at most."""
        self.rows.append((-highspy.kHighsInf, terms, most))

    def at_least(self, terms: Terms, least: float) -> None:
        """The sum is ``least`` at least."""
        self.rows.append((least, terms, highspy.kHighsInf))

    def equal(self, terms: Terms, value: float) -> None:
        """The sum is ``value``."""
        self.rows.append((value, terms, value))


@dataclass(frozen=True, slots=True)
class Solved:
    """The objectives' least values in their order, None where nothing is feasible or nothing was found.

    ``seconds`` is what the solver took, without putting the program together.
    """

    values: tuple[int, ...] | None
    proven: bool
    seconds: float = 0.0


def solved(program: Program, objectives: Sequence[Terms], seconds: float, threads: int = 1) -> Solved:
    """Make the objectives least in their order; the time limit is for all of them together."""
    if not program.upper:
        # Without variables every sum is nothing; the solver calls such a program empty and says no more.
        possible = all(low <= 0 <= high for low, _, high in program.rows)
        return Solved((0,) * len(objectives) if possible else None, proven=True)
    solver = _loaded(program, threads)
    began = now()
    values, proven = _in_turn(solver, objectives, seconds)
    return Solved(values, proven, now() - began)


def _in_turn(solver: highspy.Highs, objectives: Sequence[Terms], seconds: float) -> tuple[tuple[int, ...] | None, bool]:
    """The objectives one after the other: (values, whether all are proven)."""
    ends = monotonic() + seconds
    values: list[int] = []
    proven = True
    for terms in objectives:
        if not terms and values:
            values.append(0)
            continue
        for variable in range(solver.getNumCol()):
            solver.changeColCost(variable, 0.0)
        for coefficient, variable in _gathered(terms):
            solver.changeColCost(variable, coefficient)
        solver.setOptionValue("time_limit", solver.getRunTime() + max(0.01, ends - monotonic()))
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None, not values
        info = solver.getInfo()
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return None, False
        proven = proven and status == highspy.HighsModelStatus.kOptimal
        if not proven:
            point = solver.getSolution().col_value
            rest = objectives[len(values) :]
            values.extend(round(sum(c * point[v] for c, v in each)) for each in rest)
            return tuple(values), False
        values.append(round(info.objective_function_value))
        _add_row(solver, (float(values[-1]), terms, float(values[-1])))
    return tuple(values), proven


class Quiet(highspy.Highs):
    """The solver without callbacks: starting them writes to the standard output before that can be forbidden."""

    def enableCallbacks(self) -> None:
        """Leave them off."""


def _loaded(program: Program, threads: int) -> highspy.Highs:
    # Whoever asked the solver before in this process may have done so with another number of threads.
    highspy.Highs.resetGlobalScheduler(True)
    solver = Quiet()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", threads)
    solver.setOptionValue("parallel", "off" if threads == 1 else "on")
    solver.setOptionValue("mip_rel_gap", 0.0)
    solver.setOptionValue("mip_abs_gap", 0.5)
    solver.addVars(len(program.upper), program.lower, program.upper)
    for variable in range(len(program.upper)):
        solver.changeColIntegrality(variable, highspy.HighsVarType.kInteger)
    for row in program.rows:
        _add_row(solver, row)
    return solver


def _gathered(terms: Terms) -> list[tuple[float, int]]:
    sums: dict[int, float] = {}
    for coefficient, variable in terms:
        sums[variable] = sums.get(variable, 0.0) + coefficient
    return [(coefficient, variable) for variable, coefficient in sums.items() if coefficient]


def _add_row(solver: highspy.Highs, row: tuple[float, Terms, float]) -> None:
    low, terms, high = row
    gathered = _gathered(terms)
    solver.addRow(low, high, len(gathered), [v for _, v in gathered], [c for c, _ in gathered])
