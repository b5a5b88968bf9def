"""What keep-apart labels need of the trays, by hand and against trying everything."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from service.planning.packing import Item, Problem, TrayKind, solve
from service.planning.packing.budget import Budget
from service.planning.packing.covers import covers_of
from service.planning.packing.duals import plain_label_needs, tuned_label_needs
from service.planning.packing.lots import lots_for_room
from service.planning.packing.measures import measures_of
from service.planning.packing.needs import needs_of
from service.planning.packing.reading import read
from tests.planning.packing.brute import best_packing
from tests.planning.packing.cases import tiny

SMALL = TrayKind(pitch=6, most=9, banks=((12, 6),))
LARGE = TrayKind(pitch=10, most=9, banks=((12, 6), (12, 6)))


def labelled(*bundles: tuple[int, int, int]) -> Problem:
    """Bundles (slot kind, size, label) in closures that take both trays."""
    items = tuple(Item(slot_kind, size, (0, 0), label) for slot_kind, size, label in bundles)
    return Problem(2, (SMALL, LARGE), 90, items, "never")


def test_a_label_takes_its_cheapest_trays_by_any_costs() -> None:
    """A label with both slot kinds takes one large tray or two small ones; a label with one takes one small tray."""
    case = read(labelled((0, 8, 0), (1, 4, 0), (0, 5, 1)))
    covers = covers_of(case, lots_for_room(case), Budget(1_000))
    assert covers is not None
    kind_of = [case.berths[b].kind for b, _ in covers.types]
    assert covers.least([1 for _ in kind_of]) == 2
    assert covers.least([(6, 10)[kind] for kind in kind_of]) == 16
    assert covers.least([(6, 13)[kind] for kind in kind_of]) == 18
    assert covers.least([int(kind == 1) for kind in kind_of]) == 0


def test_what_labels_leave_idle_counts() -> None:
    """Three labels of 7 and three of 6 in trays of 12 need six trays, and no need asks for more than six give."""
    kind = TrayKind(pitch=10, most=9, banks=((12,),))
    items = tuple(Item(0, 7 - label % 2, (0,), label) for label in range(6))
    case = read(Problem(1, (kind,), 90, items, "never"))
    measures = measures_of(case)
    covers = covers_of(case, lots_for_room(case), Budget(1_000))
    assert covers is not None
    needs = plain_label_needs(case, measures, covers)
    needs += tuned_label_needs(case, covers, [*needs_of(case, measures), *needs])
    assert max(-(-need.amount // need.gives[0]) for need in needs) == 6


def test_labelled_closures_reach_the_values_found_by_trying_everything() -> None:
    """With a label on most bundles and tight channels every proven value equals the one found by trying everything."""
    fits = 0
    for seed in range(30_000, 30_500):
        rng = Random(seed)
        problem = tiny(seed)
        if len(problem.items) > 4 and problem.split == "free":
            continue
        problem = replace(
            problem,
            hanging=(),
            items=tuple(replace(item, label=rng.choice((0, 1, 2, 3, None))) for item in problem.items),
            kinds=tuple(replace(kind, storage=rng.choice((None, rng.randint(3, 9)))) for kind in problem.kinds),
            stack=rng.choice((9, 12, 16)),
        )
        packing = solve(problem)
        best = best_packing(problem)
        if best is None:
            assert packing.fits is False, f"seed {seed}"
            continue
        fits += 1
        bounds = packing.bounds
        assert bounds is not None and bounds.optimal, f"seed {seed}"
        assert (bounds.cost, bounds.height, bounds.opened, bounds.pieces) == best, f"seed {seed}"
    assert fits > 100
