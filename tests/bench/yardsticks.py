"""The core and general solvers on one problem, each with the time that it took."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from typing import Any

from ortools.sat.python import cp_model

from service.planning.packing import Problem, solve
from tests.bench.clock import now
from tests.bench.highs_model import judged_by_highs
from tests.planning.packing.general_solver import judged_by_general_solver


@dataclass(frozen=True, slots=True)
class Answer:
    """Cost, height, hanging trays opened and pieces (None: nothing fits or was found), what is proven, and the time.

    ``cost_bound`` is the least cost that the core has shown; general solvers tell only whether all is proven.
    """

    values: tuple[int, ...] | None
    proven: bool
    seconds: float
    cost_bound: int | None = None
    nodes: int = 0


Yardstick = Callable[[Problem], Answer]


def core(problem: Problem) -> Answer:
    """This service's own answer; that nothing fits is proven too."""
    began = now()
    packing = solve(problem)
    took = now() - began
    bounds = packing.bounds
    if bounds is None:
        return Answer(None, packing.fits is False, took, nodes=packing.nodes)
    values = (bounds.cost, bounds.height, bounds.opened, bounds.pieces)
    return Answer(values, bounds.optimal, took, bounds.cost_bound, packing.nodes)


@contextmanager
def solving_timed() -> Iterator[list[float]]:
    """Collects what the constraint solver's own calls take, so that building models is left out."""
    took: list[float] = []
    plain = cp_model.CpSolver.solve

    def timed(solver: cp_model.CpSolver, *args: Any) -> Any:
        began = now()
        try:
            return plain(solver, *args)
        finally:
            took.append(now() - began)

    cp_model.CpSolver.solve = timed  # type: ignore[method-assign]
    try:
        yield took
    finally:
        cp_model.CpSolver.solve = plain  # type: ignore[method-assign]


def cp_sat(problem: Problem, seconds: float, workers: int) -> Answer:
    """OR-Tools CP-SAT on the same model; the time is the solver's alone."""
    with solving_timed() as took:
        verdict = judged_by_general_solver(problem, seconds, workers)
    return Answer(verdict.values, verdict.proven, sum(took))


def highs(problem: Problem, seconds: float) -> Answer:
    """HiGHS on the same model with one thread, objective after objective; the time is the solver's alone."""
    found = judged_by_highs(problem, seconds)
    return Answer(found.values, found.proven, found.seconds)


def general_solvers(seconds: float) -> dict[str, Yardstick]:
    """The solvers to compare with, by name."""
    return {
        "cp_sat_1": partial(cp_sat, seconds=seconds, workers=1),
        "cp_sat_2": partial(cp_sat, seconds=seconds, workers=2),
        "highs": partial(highs, seconds=seconds),
    }
