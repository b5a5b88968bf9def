"""Which bundles may be divided, between trays or between this closure and another."""

from __future__ import annotations

from service.planning.demand import Demand
from service.planning.obstacles import largest_in_a_tray


def may_be_divided(demand: Demand, place: int) -> bool:
    """Whether the split rule lets a bundle be divided, or no tray takes all of it, so that it has to be."""
    problem = demand.problem
    if problem is None:
        return False
    return problem.split == "free" or problem.items[place].size > largest_in_a_tray(problem, place)
