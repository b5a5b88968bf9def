"""Ways of leaving out splices: each once, and none forgotten."""

from __future__ import annotations

from itertools import product

import pytest

from service.planning.mending.ways_out import Cut, ways_out
from service.planning.packing.problem import Item

ITEMS = {0: Item(0, 3, (0,)), 1: Item(0, 3, (0,)), 2: Item(0, 2, (0,)), 3: Item(0, 3, (0,), label=1)}


def by_trying(cuts: dict[int, Cut], leave: int) -> set[tuple[tuple[int, ...], ...]]:
    """Every way, with bundles that are alike (0 and 1) told apart by nothing."""
    found = set()
    for counts in product(range(4), range(4), range(3), range(4)):
        whole = all(cuts[p] != "not at all" or count in (0, ITEMS[p].size) for p, count in enumerate(counts))
        if sum(counts) == leave and whole:
            alike: tuple[int, ...] = tuple(sorted(counts[:2], reverse=True))
            if cuts[0] == "together":
                full, rest = divmod(sum(alike), 3)
                alike = tuple(([3] * full + [rest, 0])[:2])
            found.add((alike, counts[2:]))
    return found


@pytest.mark.parametrize("cut", ["not at all", "together", "each"])
@pytest.mark.parametrize("leave", range(12))
def test_every_way_comes_once(cut: Cut, leave: int) -> None:
    """Bundle 2 is only left out whole, the others as told: the same ways as by trying all numbers."""
    cuts: dict[int, Cut] = {0: cut, 1: cut, 2: "not at all", 3: cut}
    ways = [tuple(way.get(place, 0) for place in range(4)) for way in ways_out(ITEMS, lambda p: cuts[p], leave)]
    assert all(sum(way) == leave for way in ways)
    told = [(tuple(sorted(way[:2], reverse=True)), way[2:]) for way in ways]
    assert len(told) == len(set(told))
    assert set(told) == by_trying(cuts, leave)


def test_the_last_of_those_that_are_alike_goes_first() -> None:
    """Two splices of bundles 0 and 1: of bundle 1."""
    assert next(ways_out({0: ITEMS[0], 1: ITEMS[1]}, lambda _: "together", 2)) == {1: 2}
