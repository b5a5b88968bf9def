"""Single rules of the packing, each on a case that can be checked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.planning.packing import HangingTray, Item, Packing, Piece, Problem, TrayKind, solve
from tests.bench.agreement.medium import medium
from tests.planning.packing.check import faults

TRAY = TrayKind(pitch=10, most=6, banks=((12,), (12,)), price=30)
TWIN = TrayKind(pitch=10, most=6, banks=((12, 6), (12, 6)))


def bundles(*sizes: int, slot_kind: int = 0, label: int | None = None, kinds: int = 1) -> tuple[Item, ...]:
    """Plain bundles of these sizes that take no storage."""
    return tuple(Item(slot_kind, size, (0,) * kinds, label) for size in sizes)


def packed(problem: Problem) -> Packing:
    """The proven packing of a problem that fits."""
    packing = solve(problem)
    assert packing.fits, packing.method
    assert packing.bounds is not None and packing.bounds.optimal
    assert faults(problem, packing) == []
    return packing


def reached(problem: Problem) -> tuple[int, int, int, int]:
    """(cost, height, opened, pieces) of the proven packing."""
    bounds = packed(problem).bounds
    assert bounds is not None
    return (bounds.cost, bounds.height, bounds.opened, bounds.pieces)


@pytest.mark.parametrize(("capacity", "trays"), [(59, 4), (60, 3), (61, 3), (62, 3)])
def test_a_larger_tray_never_needs_more_trays(capacity: int, trays: int) -> None:
    """The anomaly of first-fit decreasing (4 at 61, 3 at 60) does not show; optimum computed by hand from the sizes."""
    kind = TrayKind(pitch=10, most=10, banks=((capacity,),))
    problem = Problem(1, (kind,), 100, bundles(44, 24, 24, 22, 21, 17, 8, 8, 6, 6), split="never")
    assert reached(problem) == (trays, 10 * trays, 0, 10)


def test_a_closure_with_nothing_to_place_needs_no_tray() -> None:
    """Without items and reserve no tray is bought."""
    assert packed(Problem(1, (TRAY,), 60, ())).trays == ()


def test_a_reserve_alone_buys_trays() -> None:
    """Free slots kept in the trays are bought even where nothing is spliced yet."""
    packing = packed(Problem(1, (TRAY,), 60, (), reserve=(30,)))
    assert [tray.pieces for tray in packing.trays] == [(), ()]


def test_a_reserve_in_the_stack_buys_nothing_but_names_later_trays() -> None:
    """Room to add trays later is kept free, and the trays that would take it are named."""
    packing = packed(Problem(1, (TRAY,), 20, bundles(12), reserve=(30,), reserve_in="stack"))
    assert len(packing.trays) == 1
    assert packing.later == (0,)
    assert solve(Problem(1, (TRAY,), 10, bundles(12), reserve=(30,), reserve_in="stack")).fits is False


def test_spare_trays_keep_the_stack_free() -> None:
    """Two spare trays beside one in use need room for three."""
    problem = Problem(1, (TRAY,), 30, bundles(12), spare_trays=2)
    assert packed(problem).later == (0, 0)
    assert solve(replace(problem, stack=29)).fits is False


def test_reserve_of_two_slot_kinds_must_hold_at_once() -> None:
    """A free bank counts for one slot kind only: twelve singles and six ribbons need two banks."""
    assert reached(Problem(2, (TWIN,), 60, (), reserve=(12, 6))) == (1, 10, 0, 0)
    assert reached(Problem(2, (TWIN,), 60, (), reserve=(12, 7))) == (2, 20, 0, 0)


def test_bundles_of_two_labels_share_no_tray() -> None:
    """Two small bundles with different labels take two trays; one without a label joins either."""
    items = bundles(2, label=0) + bundles(2, label=1) + bundles(2)
    assert reached(Problem(1, (TRAY,), 60, items)) == (2, 20, 0, 3)


def test_only_oversize_bundles_are_split() -> None:
    """Bundles of 20 in trays of 24 stay whole though splitting would save a tray; one of 30 is split in two."""
    assert reached(Problem(1, (TRAY,), 60, bundles(20, 20, 8, 8))) == (3, 30, 0, 4)
    assert reached(Problem(1, (TRAY,), 60, bundles(20, 20, 4, 4), split="free")) == (2, 20, 0, 4)
    assert reached(Problem(1, (TRAY,), 60, bundles(30, 10))) == (2, 20, 0, 3)
    assert solve(Problem(1, (TRAY,), 60, bundles(30), split="never")).fits is False


def test_oversize_is_judged_by_an_empty_tray_and_not_by_the_room_that_is_left() -> None:
    """In a closure with half-filled trays alone a bundle that an empty tray takes does not fit; a larger one is split.

    It makes no difference whether trays could be added if there were room, or whether the kind is used up.
    """
    half_full = HangingTray(0, ((0, 12), (None, 0)))
    for kind, stack in ((TRAY, 30), (replace(TRAY, most=3), 300)):
        full = Problem(1, (kind,), stack, bundles(20), hanging=(half_full,) * 3)
        assert solve(full).fits is False
        assert reached(replace(full, split="free")) == (0, 0, 2, 2)
        assert reached(replace(full, items=bundles(25))) == (0, 0, 3, 3)
    twice = (replace(TRAY, banks=((6,),)), replace(TRAY, most=0))
    assert solve(Problem(1, twice, 60, bundles(20, kinds=2))).fits is False
    assert reached(Problem(1, twice[:1], 60, bundles(20))) == (4, 40, 0, 4)


def test_free_splitting_cuts_no_more_than_needed() -> None:
    """Twelve bundles of 7 fill seven trays of 12 exactly, and no part of them fills fewer: six cuts are needed."""
    kind = TrayKind(pitch=10, most=9, banks=((12,),))
    assert reached(Problem(1, (kind,), 100, bundles(*[7] * 12), split="free")) == (7, 70, 0, 18)


def test_the_lowest_price_may_take_more_trays() -> None:
    """Two cheap small trays beat one dear large tray where the price is to be least."""
    large = TrayKind(pitch=10, most=4, banks=((24,),), price=50)
    small = TrayKind(pitch=6, most=4, banks=((12,),), price=20)
    problem = Problem(1, (large, small), 60, bundles(12, 12, kinds=2))
    assert reached(problem)[:2] == (1, 10)
    assert reached(replace(problem, minimise="price"))[:2] == (40, 12)


def test_a_missing_price_is_refused() -> None:
    """The price can only be least where every kind has one."""
    with pytest.raises(ValueError, match="price"):
        solve(Problem(1, (replace(TRAY, price=None),), 60, bundles(4), minimise="price"))


def test_free_slots_of_hanging_trays_are_used_before_trays_are_bought() -> None:
    """Of three hanging trays with room the two that suffice are opened, and banks in use keep their kind."""
    hanging = tuple(HangingTray(0, ((0, used), (0, 12))) for used in (8, 2, 4))
    problem = Problem(1, (TRAY,), 60, bundles(9, 7), hanging=hanging)
    assert reached(problem) == (0, 0, 2, 2)
    twin = Problem(2, (TWIN,), 20, bundles(5, kinds=1, slot_kind=1), hanging=(HangingTray(0, ((0, 3), (0, 0))),))
    assert reached(twin) == (1, 10, 0, 1)


def test_storage_and_ribbons_limit_a_tray_as_slots_do() -> None:
    """A channel that takes ten splices' storage, or an entry for ten ribbon ends, halves a tray of 24 slots."""
    item = Item(0, 10, (5,), ribbons=1)
    assert reached(Problem(1, (replace(TRAY, storage=50),), 60, (item, item))) == (2, 20, 0, 2)
    assert reached(Problem(1, (replace(TRAY, ribbons=10),), 60, (item, item))) == (2, 20, 0, 2)
    assert reached(Problem(1, (TRAY,), 60, (item, item))) == (1, 10, 0, 2)


def test_parked_ends_need_a_tray_but_no_slot() -> None:
    """Loose ends without slots lie in the tray that is there, in any number, and count as no piece."""
    parked = Item(0, 40, (1,), slots=0, loose=True)
    assert reached(Problem(1, (TRAY,), 60, (*bundles(24), parked))) == (1, 10, 0, 1)
    assert reached(Problem(1, (TRAY,), 60, (parked,))) == (1, 10, 0, 0)


def test_trays_follow_the_cable() -> None:
    """Equal bundles lie in cable order, tray after tray."""
    packing = packed(Problem(1, (TRAY,), 60, bundles(*[12] * 6)))
    assert [[piece.item for piece in tray.pieces] for tray in packing.trays] == [[0, 1], [2, 3], [4, 5]]
    assert packing.trays[0].pieces[0] == Piece(0, 12)


def test_of_kinds_that_do_as_well_the_cheaper_is_taken() -> None:
    """Trays alike but for their price: the cheaper ones are bought first; without prices, the kind named first."""
    dear, cheap = TRAY, replace(TRAY, price=20, most=2)
    problem = Problem(1, (dear, cheap), 60, bundles(24, 24, 24, kinds=2))
    assert sorted(tray.kind for tray in packed(problem).trays) == [0, 1, 1]
    assert sorted(tray.kind for tray in packed(replace(problem, kinds=(cheap, dear))).trays) == [0, 0, 1]
    unpriced = replace(problem, kinds=(replace(dear, price=None), replace(cheap, price=None)))
    assert {tray.kind for tray in packed(unpriced).trays} == {0}


@pytest.mark.parametrize("nodes", [16, 32, 64, 128])
def test_a_bundle_laid_into_a_tray_in_two_turns_is_one_piece(nodes: int) -> None:
    """The pieces told are those that lie in the trays, also where a search that ran out left a bundle laid in turns."""
    problem = medium(20_418_455)
    packing = solve(problem, node_limit=nodes)
    assert packing.bounds is not None
    assert packing.bounds.pieces == sum(
        not problem.items[piece.item].loose for tray in packing.trays for piece in tray.pieces
    )
