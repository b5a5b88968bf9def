"""A packing problem with one limit lifted, to see whether that limit is what stands in the way."""

from __future__ import annotations

from dataclasses import replace

from service.planning.known_packings import solve as solve_wholly
from service.planning.packing.problem import Packing, Problem

EXPLAINING_NODES = 2_000
"""Search steps for each problem solved to explain or to mend: whether it fits matters here, not the best packing."""


def solve(problem: Problem) -> Packing:
    """Solve a changed problem within ``EXPLAINING_NODES``; a packing found is a packing, best or not."""
    return solve_wholly(problem, node_limit=EXPLAINING_NODES)


def without_stack(problem: Problem) -> Problem:
    """The same with a stack as high as all the trays that the closure takes."""
    return replace(problem, stack=sum(kind.pitch * kind.most for kind in problem.kinds))


def lowest(problem: Problem) -> Problem:
    """The same, seeking the least height of all trays, those of a reserve in the stack among them."""
    kinds = tuple(replace(kind, price=kind.pitch) for kind in problem.kinds)
    return replace(problem, kinds=kinds, minimise="price", reserve_in="trays")


def without_tray_count(problem: Problem) -> Problem:
    """The same with as many trays of each kind as could ever be wanted: one for every splice and free slot."""
    units = sum(item.size for item in problem.items) + sum(problem.reserve) + problem.spare_trays + len(problem.hanging)
    return replace(problem, kinds=tuple(replace(kind, most=max(kind.most, units)) for kind in problem.kinds))


def without_labels(problem: Problem) -> Problem:
    """The same with no keep-apart label."""
    return replace(
        problem,
        items=tuple(replace(item, label=None) for item in problem.items),
        hanging=tuple(replace(tray, label=None) for tray in problem.hanging),
    )


def without_storage(problem: Problem) -> Problem:
    """The same with channels and entries without limit."""
    return replace(problem, kinds=tuple(replace(kind, storage=None, ribbons=None) for kind in problem.kinds))
