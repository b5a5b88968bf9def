"""Packings that are known are the ones that would be found anew, and are kept only where they are asked to be."""

from __future__ import annotations

from random import Random

from service.planning.known_packings import ITEMS_MOST, KnownPackings, solve
from service.planning.packing import Item, Problem, TrayKind
from service.planning.packing import solve as solve_anew
from tests.bench.hubs import hub


def small(size: int, items: int = 1) -> Problem:
    """So many bundles of one size."""
    return Problem(1, (TrayKind(10, 40, ((12,),)),), 600, tuple(Item(0, size, (0,)) for _ in range(items)))


def test_a_known_packing_is_the_one_found_anew() -> None:
    """Over problems of several families, each asked for twice in a drawn order, by two node limits."""
    problems = [hub(seed, "free", 1) for seed in range(2)] + [small(size, 3) for size in range(1, 13)]
    asked = [(problem, nodes) for problem in problems for nodes in (500, 2_000)] * 2
    Random(7).shuffle(asked)
    known = KnownPackings()
    with known.in_use():
        for problem, nodes in asked:
            assert solve(problem, nodes) == solve_anew(problem, nodes)
    assert (known.asked, known.solved) == (len(asked), len(asked) // 2)


def test_nothing_is_remembered_outside() -> None:
    """Neither before nor after, also where the work inside failed."""
    known = KnownPackings()
    solve(small(3))
    try:
        with known.in_use():
            solve(small(3))
            raise RuntimeError
    except RuntimeError:
        solve(small(3))
    assert known.asked == 1


def test_what_was_not_asked_for_the_longest_is_forgotten_first() -> None:
    """Memory stays bounded."""
    known = KnownPackings(most=2)
    with known.in_use():
        for size in (1, 2, 1, 3, 1, 2):
            solve(small(size))
    assert known.solved == 4


def test_large_problems_are_not_remembered() -> None:
    """They would take the room of many small ones."""
    known = KnownPackings()
    with known.in_use():
        solve(small(1, ITEMS_MOST + 1))
    assert known.asked == 0
