"""No part has more splices than this: what fits if the splices of each kind were alike, and asked for least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.planning.demand import Demand, reserve_of
from service.planning.mending.oracle import Oracle
from service.planning.packing.problem import Item, Problem

STEPS_MOST = 250
"""Two kinds with more splices together than this are bounded each by itself."""


def splices_at_most(demand: Demand, percent: float, oracle: Oracle) -> int:
    """A bound on the splices of any part, whatever is divided or kept apart; ``percent`` is the reserve.

    The two slot kinds with most splices are looked at together, for they share the stack, the others each alone. Where
    it is not decided whether so many fit, they are taken to fit.
    """
    problem = demand.problem
    if problem is None:
        return 0
    bundles = problem.items[: len(demand.sleeves)]
    kinds = [_easiest([i for i in bundles if i.slot_kind == kind]) for kind in {item.slot_kind for item in bundles}]
    kinds.sort(key=lambda item: (-item.size, item.slot_kind))
    bound = Relaxed(problem, percent, oracle)
    alone = [bound.most((), item) for item in kinds]
    if len(kinds) > 1 and kinds[0].size + kinds[1].size <= STEPS_MOST:
        return bound.most_of_two(kinds[0], kinds[1], alone[0], alone[1]) + sum(alone[2:])
    return sum(alone)


def _easiest(items: Sequence[Item]) -> Item:
    """All splices of a kind as one item that may be divided at will, each of them asking for least in every tray."""
    columns = zip(*(item.storage for item in items), strict=True)
    shares = [[share for share in column if share is not None] for column in columns]
    return Item(
        items[0].slot_kind,
        sum(item.size for item in items),
        tuple(min(column) if column else None for column in shares),
        ribbons=min(item.ribbons for item in items),
        loose=True,
    )


class Relaxed:
    """Questions about so many splices of some kinds and nothing else, with the reserve that they ask for."""

    def __init__(self, problem: Problem, percent: float, oracle: Oracle) -> None:
        self.problem = problem
        self.percent = percent
        self.oracle = oracle

    def may_fit(self, items: Sequence[Item]) -> bool:
        """Whether it was not ruled out that the trays take these."""
        reserve = [0] * len(self.problem.reserve)
        if reserve:
            for item in items:
                reserve[item.slot_kind] = reserve_of(self.percent, item.size)
        present = tuple(item for item in items if item.size)
        return self.oracle.fits(replace(self.problem, items=present, reserve=tuple(reserve))) is not False

    def most(self, beside: tuple[Item, ...], item: Item) -> int:
        """The most splices of an item that were not ruled out beside others."""
        low, high = 0, item.size + 1
        while high - low > 1:
            middle = (low + high) // 2
            fits = self.may_fit((*beside, replace(item, size=middle)))
            low, high = (middle, high) if fits else (low, middle)
        return low

    def most_of_two(self, one: Item, other: Item, most: int, most_other: int) -> int:
        """The most splices of two kinds together; with one splice fewer of the first, no fewer fit of the second."""
        best, count = 0, 0
        for first in range(most, -1, -1):
            while count < most_other and self.may_fit((replace(one, size=first), replace(other, size=count + 1))):
                count += 1
            best = max(best, first + count)
            if count == most_other:
                break
        return best
