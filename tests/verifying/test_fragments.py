"""Pieces counted by groups of bundles and trays."""

from __future__ import annotations

from itertools import product

import pytest

from service.verifying.fragments import pieces_at_least


@pytest.mark.parametrize(
    ("sizes", "slots", "trays", "pieces"),
    [
        ([6, 6, 6], 6, 3, 3),  # each fills a tray
        ([4, 4, 4], 6, 2, 4),  # twelve splices fill two trays of six: one of the three is divided
        ([4, 4, 4], 6, 3, 3),  # with a third tray none is
        ([5, 7, 5, 7], 12, 2, 4),  # 5 and 7 fill a tray of twelve
        ([7, 7, 7, 3], 12, 2, 5),  # 24 in 24 slots, and no part of them makes 12
        ([13], 6, 3, 3),  # larger than a tray: three pieces
    ],
)
def test_pieces_worked_by_hand(sizes: list[int], slots: int, trays: int, pieces: int) -> None:
    """Small cases that can be done in the head."""
    assert pieces_at_least(sizes, slots, trays) == pieces


def least_pieces(sizes: tuple[int, ...], slots: int, trays: int) -> int | None:
    """The true least, by trying every way to share every bundle out."""
    best: int | None = None
    ways = [[s for s in product(range(size + 1), repeat=trays) if sum(s) == size] for size in sizes]
    for shares in product(*ways):
        if all(sum(tray) <= slots for tray in zip(*shares, strict=True)):
            pieces = sum(1 for share in shares for part in share if part)
            best = pieces if best is None else min(best, pieces)
    return best


def test_the_count_is_the_true_least_where_trays_are_alike() -> None:
    """Against every way to share out up to three bundles over two trays of five: never above, and in fact equal."""
    for sizes in product(range(1, 7), repeat=3):
        assert pieces_at_least(list(sizes), 5, 2) == least_pieces(sizes, 5, 2), sizes


def test_too_many_ways_are_left_undecided() -> None:
    """Thirty bundles of different sizes are not gone through."""
    assert pieces_at_least(list(range(1, 31)), 12, 40) is None
