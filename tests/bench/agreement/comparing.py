"""An answer of the core against a reference: values, bounds and the verdict that nothing fits."""

from __future__ import annotations

from math import comb

from service.planning.packing import Bounds, Packing, Problem
from tests.bench.agreement.outcome import AGREED, NO_REFERENCE, NOT_PROVEN
from tests.bench.highs_model import judged_by_highs
from tests.planning.packing.brute import best_packing, largest_part
from tests.planning.packing.check import faults
from tests.planning.packing.general_solver import judged_by_general_solver

Values = tuple[int, int, int, int]
MOST_WAYS = 30_000
MOST_TRAYS = 6


def values_of(bounds: Bounds) -> Values:
    """Cost, height, opened, pieces."""
    return bounds.cost, bounds.height, bounds.opened, bounds.pieces


def lower_bounds_of(bounds: Bounds) -> Values:
    """The least that is claimed for each."""
    return bounds.cost_bound, bounds.height_bound, bounds.opened_bound, bounds.pieces_bound


def can_be_tried(problem: Problem) -> bool:
    """Whether trying every packing is a matter of moments: few trays, and not many ways to lay the items into them."""
    trays = len(problem.hanging)
    room = problem.stack
    for kind in sorted(problem.kinds, key=lambda kind: kind.pitch):
        some = min(kind.most, room // kind.pitch if kind.pitch else kind.most)
        trays, room = trays + some, room - some * kind.pitch
    ways = 1
    for number, item in enumerate(problem.items):
        oversize = problem.split == "oversize" and item.size > largest_part(problem, number)
        divided = item.loose or problem.split == "free" or oversize
        ways *= comb(item.size + trays - 1, item.size) if divided else trays
    return trays <= MOST_TRAYS and ways <= MOST_WAYS


def reference(problem: Problem, seconds: float) -> tuple[Values | None, bool]:
    """(best values or None, whether proven): by trying everything where that can be done, else by general solvers.

    HiGHS is asked where CP-SAT did not finish; of two unproven answers the better one counts.
    """
    if can_be_tried(problem):
        return best_packing(problem), True
    verdict = judged_by_general_solver(problem, seconds)
    if verdict.proven:
        return verdict.values, True
    other = judged_by_highs(problem, seconds)
    found = [values for values in (verdict.values, other.values) if values is not None]
    best = min(found, default=None)
    return (None if best is None else (best[0], best[1], best[2], best[3])), other.proven and best == other.values


def compared(problem: Problem, packing: Packing, best: Values | None, proven: bool) -> tuple[str, list[str]]:
    """(verdict, disagreements) of an answer beside a reference's.

    A reference that is not proven still counts: nothing that the core calls least may be above what it found.
    """
    wrong: list[str] = []
    if packing.fits is False:
        if best is not None:
            wrong.append(f"said that nothing fits, and {best} does")
        return (AGREED if proven else NO_REFERENCE), wrong
    if packing.fits is None or packing.bounds is None:
        return NOT_PROVEN, wrong
    wrong += faults(problem, packing)
    bounds = packing.bounds
    reached, least = values_of(bounds), lower_bounds_of(bounds)
    if best is None:
        if proven:
            wrong.append(f"packed as {reached}, and the reference says that nothing fits")
        return NO_REFERENCE, wrong
    if bounds.optimal and reached > best:
        wrong.append(f"called {reached} least, and {best} is there")
    if proven and reached < best:
        wrong.append(f"reached {reached}, below the reference's least {best}")
    for value, bound, other in zip(reached, least, best, strict=True):
        if bound > other:
            wrong.append(f"claimed a bound of {least}, and {best} is there")
        if bound < value or other > value:
            break
    if not bounds.optimal:
        return NOT_PROVEN, wrong
    return (AGREED if proven else NO_REFERENCE), wrong
