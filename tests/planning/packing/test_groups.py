"""Fewest pieces by groups of bundles that fill trays of their own, where slots alone count."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from service.planning.packing import Item, Problem, TrayKind, core, solve
from service.planning.packing.budget import Budget
from service.planning.packing.groups import fewest_by_groups, slots_alone_count
from service.planning.packing.reading import read
from tests.planning.packing.brute import best_packing
from tests.planning.packing.cases import realistic, ways
from tests.planning.packing.check import faults


def few_sizes(seed: int) -> Problem:
    """Bundles of few sizes under free splitting, now and then with a reserve and parked ends that take slots."""
    rng = Random(seed)
    slots = rng.randint(3, 7)
    kinds = (TrayKind(rng.choice((4, 5)), 6, ((slots,),), 10),)
    if rng.random() < 0.3:
        kinds += (TrayKind(4, rng.randint(0, 2), ((slots,),), 10),)
    sizes = [rng.randint(1, 7) for _ in range(rng.randint(1, 3))]
    items = [Item(0, rng.choice(sizes), (0,) * len(kinds)) for _ in range(rng.randint(1, 6))]
    if rng.random() < 0.3:
        items.append(Item(0, rng.randint(1, 3), (0,) * len(kinds), loose=True))
    trays = -(-sum(item.size for item in items) // slots)
    while ways(items, "free", trays) > 60_000:
        items.pop(0)
    return Problem(1, kinds, 20, tuple(items), "free", reserve=(rng.choice((0, 0, 0, 1, 3)),))


@pytest.mark.parametrize("start", range(0, 600, 100))
def test_the_most_groups_give_the_fewest_pieces(start: int) -> None:
    """The values equal those found by trying every packing, and the packing keeps every rule."""
    asked = 0
    for seed in range(start, start + 100):
        problem = few_sizes(seed)
        packing = solve(problem)
        best = best_packing(problem)
        assert packing.fits is (best is not None), f"seed {seed}"
        if best is None:
            continue
        assert packing.bounds is not None and packing.bounds.optimal, f"seed {seed}"
        assert (packing.bounds.cost, packing.bounds.height, 0, packing.bounds.pieces) == best, f"seed {seed}"
        assert faults(problem, packing) == [], f"seed {seed}"
        asked += best[3] > sum(1 for item in problem.items if not item.loose)
    assert asked > 10


def test_groups_and_the_search_over_cuts_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    """On closures with bundles of 5 and 7 the search over cuts, where it ends, finds as many pieces as the groups."""
    compared = 0
    for seed in range(120):
        problem = realistic("tight", seed)
        by_groups = solve(problem)
        with monkeypatch.context() as patched:
            patched.setattr(core, "fewest_by_groups", lambda *_: None)
            by_search = solve(problem, 4_000)
        if by_search.bounds is not None and by_search.bounds.optimal:
            assert by_groups.bounds == by_search.bounds, f"seed {seed}"
            compared += 1
    assert compared > 60


def test_groups_are_only_asked_where_slots_alone_count() -> None:
    """A label, a channel that can be full, a bundle that must stay whole, a hanging tray: the search decides."""
    kind = TrayKind(10, 9, ((12,),))
    plain = Problem(1, (kind,), 100, tuple([Item(0, 7, (1,)) for _ in range(12)]), "free")
    assert slots_alone_count(read(plain))
    labelled = replace(plain, items=(*plain.items, Item(0, 1, (1,), 0), Item(0, 1, (1,), 1)))
    limited = replace(plain, kinds=(replace(kind, storage=9),))
    for other in (labelled, limited, replace(plain, split="never"), replace(plain, reserve=(3,), reserve_in="stack")):
        assert not slots_alone_count(read(other))
    packed = fewest_by_groups(read(plain), 0, [(7,)], Budget(10_000))
    assert packed is not None and packed.pieces == 12 + 7 - 1
    assert fewest_by_groups(read(plain), 0, [(7,)], Budget(0)) is None
