"""Port matching: entries of alike cables to port models, of least widths, and the sets that are too many."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.planning.port_matching import Group, Kind, match


def _seats(kinds: list[Kind]) -> list[int]:
    return [kind.places * kind.entries for kind in kinds]


@pytest.mark.parametrize(
    ("places", "entries", "pairs", "singles", "opened"),
    [
        (3, 1, 0, 2, 2),
        (3, 1, 1, 0, None),  # no place holds both ends
        (2, 2, 1, 2, 2),
        (2, 2, 1, 3, None),
        (2, 3, 2, 2, 2),  # a pair and a single in each
        (2, 3, 3, 0, None),  # six entries, but only one pair goes in each place
        (2, 3, 2, 0, 2),  # four entries would go in two places of three, and two pairs need both
        (2, 4, 0, 0, 0),
    ],
)
def test_pairs_and_single_entries_open_the_fewest_places(
    places: int, entries: int, pairs: int, singles: int, opened: int | None
) -> None:
    """Both entries of a pair lie in one place; what is left of a place takes single entries."""
    assert Kind(places, entries, 0).opened(pairs, singles) == opened


def test_an_express_cable_needs_two_entries() -> None:
    """Three express cables are six entries, three ending ones three."""
    assert Group((0,), True, 3).entries == 6
    assert Group((0,), False, 3).entries == 3


def test_the_ports_that_are_too_few_are_told() -> None:
    """Two cables for one small place; the roomy port that others take has no part in it."""
    kinds = [Kind(1, 1, 5), Kind(4, 1, 9)]
    _, tight = match(kinds, [Group((0,), False, 2), Group((1,), False, 2)], [2, 2], _seats(kinds))
    assert tight == (frozenset({0}),)


def test_shifting_others_reaches_further_ports() -> None:
    """The second group takes only the port that the first one lies in, so the first one moves on."""
    kinds = [Kind(1, 1, 1), Kind(1, 1, 9)]
    matching, tight = match(kinds, [Group((0, 1), False, 1), Group((0,), False, 1)], [1, 1], _seats(kinds))
    assert tight == ()
    assert matching.lies == [{1: 1}, {0: 1}]


_KINDS = st.lists(st.builds(Kind, st.integers(1, 2), st.integers(1, 2), st.integers(0, 9)), min_size=1, max_size=3)


@given(kinds=_KINDS, takes=st.lists(st.sets(st.integers(0, 2)), min_size=1, max_size=5))
@settings(max_examples=150, deadline=None)
def test_no_matching_is_tighter(kinds: list[Kind], takes: list[set[int]]) -> None:
    """Against every way to place one cable of each group: the same verdict, and the least sum of widths."""
    groups = [Group(tuple(sorted(t for t in some if t < len(kinds))), False, 1) for some in takes]
    matching, tight = match(kinds, groups, [1] * len(groups), _seats(kinds))
    sums = [
        sum(kinds[t].width for t in choice)
        for choice in itertools.product(*(group.kinds for group in groups))
        if all(choice.count(t) <= seats for t, seats in enumerate(_seats(kinds)))
    ]
    assert (tight == ()) == bool(sums)
    if sums:
        assert sum(kind.width * load for kind, load in zip(kinds, matching.load, strict=True)) == min(sums)
        assert all(sum(held.values()) == load for held, load in zip(matching.lies, matching.load, strict=True))
    for ports in tight:
        crowd = sum(1 for group in groups if ports.issuperset(group.kinds))
        assert crowd > sum(_seats(kinds)[t] for t in ports)
