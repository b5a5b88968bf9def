"""An addition is a complete request: it plans as a request of its own does, and opens no more than it must."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from service.domain.addition import AdditionRequest
from service.domain.faults import Refused
from service.domain.installation import Contents, HungTray
from service.domain.plan import ParkedEnds, Plan
from service.domain.request import CableAtPoint, Joint, PlanRequest, Rules, Side
from service.planning.hanging.adding import addition_request
from service.planning.hanging.laying import after_addition, first_contents
from service.planning.hanging.leaving import after_abandoning, after_removal
from service.planning.hanging.standing import hanging_trays
from service.planning.hanging.taking_out import trays_for
from service.planning.joints import work_of
from service.planning.plan import plan_splice_point
from tests.planning.hanging.hung_catalogue import hung_catalogue
from tests.planning.hanging.invariants import hold
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint

CATALOGUE = hung_catalogue()
CABLES = {"A": "flat-288", "B": "roll-288"}


def hung(joints: list[Joint], cables: dict[str, str] = CABLES) -> Contents:
    """A closure hung by a plan of some joints."""
    request = request_for(cables, joints, ("hung",))
    return first_contents(plan_splice_point(request, CATALOGUE), request, CATALOGUE)


def added(contents: Contents, *joints: Joint, new: tuple[CableAtPoint, ...] = ()) -> tuple[Plan, PlanRequest]:
    """An addition planned."""
    request = addition_request(contents, AdditionRequest(joints, new), CATALOGUE)
    return plan_splice_point(request, CATALOGUE), request


def test_an_addition_to_nothing_is_the_plan() -> None:
    """With no tray and no cable hanging, an addition is planned, and laid, as the first visit is."""
    joints = [ribbon_joint("A", "1-8", "B", "1-8"), fibre_joint("A", "265-270", "B", "265-270", keep_apart="lease")]
    request = request_for(CABLES, joints, ("hung",))
    plan = plan_splice_point(request, CATALOGUE)
    empty = Contents("hung", (), (), (), 0, 0)
    again, same = added(empty, *joints, new=request.cables)
    assert (same, again) == (request, plan)
    assert after_addition(empty, again, same, CATALOGUE) == first_contents(plan, request, CATALOGUE)


def test_what_a_plan_lays_is_what_lies_there() -> None:
    """Every splice of the plan with its slot, every tray with its banks, ports, cut fibres; numbered from 1."""
    joints = [ribbon_joint("A", "1-8", "B", "1-8")]
    request = request_for(CABLES, joints, ("hung",))
    plan = plan_splice_point(request, CATALOGUE)
    contents = first_contents(plan, request, CATALOGUE)
    told = [(t.position, s.bank, s.slot, s.from_, s.to, s.sleeve) for t in plan.trays for s in t.splices]
    assert [(s.position, s.bank, s.slot, s.from_, s.to, s.sleeve) for s in contents.splices] == told
    assert [s.number for s in contents.splices] == list(range(1, 9))
    assert [t.storage_used_mm2 for t in plan.trays] == [round(t.storage_used_mm2, 1) for t in contents.trays]
    # Ribbons 1-8 open tubes 1 and 2 (72 fibres each) of A, and tube 1 (144) of B.
    assert [(cable.tag, cable.cut) for cable in contents.cables] == [("A", ((1, 144),)), ("B", ((1, 144),))]
    assert {cable.tag: cable.ports for cable in contents.cables} == {
        tag: tuple(use.port for use in plan.ports if tag in use.cables) for tag in CABLES
    }
    hold(contents, CATALOGUE)


def test_two_additions_share_neither_slots_nor_ends() -> None:
    """Eight, then four that are parked, then two of a new tube: all fourteen lie side by side."""
    contents = hung([ribbon_joint("A", "1-8", "B", "1-8")])
    for joint in (ribbon_joint("A", "9-12", "B", "9-12"), ribbon_joint("A", "13-14", "B", "13-14")):
        plan, request = added(contents, joint)
        assert plan.fits and plan.proof is not None and plan.proof.optimal
        contents = after_addition(contents, plan, request, CATALOGUE)
        hold(contents, CATALOGUE)
    assert len(contents.splices) == contents.splices_laid == 14 and contents.visits == 3
    assert len({(s.position, s.bank, s.slot) for s in contents.splices}) == 14
    with pytest.raises(Refused) as refusal:
        added(contents, ribbon_joint("A", "15", "B", "14"))
    assert [(f.pointer, f.code) for f in refusal.value.faults] == [("/joints/0/to/ribbons", "used_twice")]


def test_a_parked_end_that_is_spliced_leaves_its_tray() -> None:
    """Ribbons 9-12 of A were parked and are spliced: their tray is no longer charged for them, only for the splices."""
    contents = hung([ribbon_joint("A", "1-8", "B", "1-8")])
    parked = sum(ends.ribbons for tray in contents.trays for ends in tray.parked if ends.cable == "A")
    plan, request = added(contents, ribbon_joint("A", "9-12", "B", "9-12"))
    assert any("parked ends of A" in note for note in plan.notes)
    after = after_addition(contents, plan, request, CATALOGUE)
    assert parked == 4
    assert not [ends for tray in after.trays for ends in tray.parked if ends.cable == "A"]
    # All of them lay in one tray, so the plan counts on what they free, to the tenth of a mm² that it tells.
    assert [tray.storage_used_mm2 for tray in plan.trays] == [round(tray.storage_used_mm2, 1) for tray in after.trays]
    assert after.trays[0].ribbons == contents.trays[0].ribbons


def test_a_freed_slot_is_filled_again() -> None:
    """Splice 3 is taken out, and its two parked ends are spliced anew: into the very slot."""
    contents = hung([ribbon_joint("A", "1-6", "B", "1-6")])
    third = contents.splices[2]
    left = after_removal(contents, [third.number], CATALOGUE)
    plan, request = added(left, ribbon_joint("A", "3", "B", "3"))
    after = after_addition(left, plan, request, CATALOGUE)
    new = after.splices[-1]
    assert (new.position, new.bank, new.slot) == (third.position, third.bank, third.slot)
    assert (new.number, new.from_, new.to) == (7, third.from_, third.to)
    assert after.trays == contents.trays


def test_splices_that_are_made_again_go_back_without_a_new_tray() -> None:
    """Six of twelve are taken out and put back: their ends free 12 of 24 entries, of which the tray has 34 in all."""
    contents = hung([ribbon_joint("A", "1-12", "B", "1-12")])
    assert [(tray.tray, tray.ribbons) for tray in contents.trays] == [("r12", 24)]
    left = after_removal(contents, range(1, 7), CATALOGUE)
    plan, request = added(left, ribbon_joint("A", "1-6", "B", "1-6"))
    assert plan.fits and [tray.new for tray in plan.trays] == [False]
    after = after_addition(left, plan, request, CATALOGUE)
    assert after.trays == contents.trays
    # A plan that an earlier version stored counted the room of parked ends as taken; it can still be carried out.
    charged = replace(request, existing_trays=hanging_trays(left))
    earlier = plan_splice_point(charged, CATALOGUE)
    assert [tray.new for tray in earlier.trays] == [False, True]
    hold(after_addition(left, earlier, charged, CATALOGUE), CATALOGUE)


def test_room_of_parked_ends_is_not_counted_on_where_it_is_not_certain_which_tray_has_them() -> None:
    """Parked ends of one tube lie in two trays: which of them a crew finds where is not known, so none frees room."""
    contents = hung([ribbon_joint("A", "1-12", "B", "1-12"), ribbon_joint("A", "13-18", "B", "13-18")])
    ends = ParkedEnds("A", 1, 1, 0, 0.5)
    left = after_removal(contents, [1], CATALOGUE)
    scattered = replace(left, trays=(left.trays[0], replace(left.trays[1], parked=(*left.trays[1].parked, ends))))
    tags = {tag: CATALOGUE.cables[code] for tag, code in CABLES.items()}
    request = addition_request(left, AdditionRequest((ribbon_joint("A", "1", "B", "1"),)), CATALOGUE)
    work = work_of(request, CATALOGUE)
    sure, unsure = (trays_for(each, work, tags)[0] for each in (left, scattered))
    assert (sure.ribbons, unsure.ribbons) == (left.trays[0].ribbons - 2, left.trays[0].ribbons - 1)
    assert sure.storage_used_mm2 < unsure.storage_used_mm2 < left.trays[0].storage_used_mm2


def test_an_end_that_is_spliced_comes_from_where_it_lay_not_from_what_is_parked_now() -> None:
    """An end of an express tube lies in tray 2 and is spliced in tray 3; another is parked in tray 1 on that visit."""
    request = request_for(
        CABLES,
        [
            ribbon_joint("A", "1-6", "B", "1-6", keep_apart="one"),
            ribbon_joint("A", "13-18", "B", "13-18", keep_apart="two"),
        ],
        ("hung",),
        express="B",
    )
    contents = first_contents(plan_splice_point(request, CATALOGUE), request, CATALOGUE)
    lying = [ends for tray in contents.trays for ends in tray.parked if (ends.cable, ends.tube) == ("B", 1)]
    assert sum(ends.ribbons for ends in lying) == 6
    kept = [tuple(ends for ends in tray.parked if ends not in lying) for tray in contents.trays]
    trays = (replace(contents.trays[0], parked=kept[0]), replace(contents.trays[1], parked=(*kept[1], *lying)))
    contents = replace(contents, trays=(*trays, *contents.trays[2:]))
    out = Joint(Side("B", ribbons=((1, 1),), end="out"), Side("A", ribbons=((7, 7),)), keep_apart="three")
    plan, asked = added(contents, out, ribbon_joint("A", "8", "B", "7", keep_apart="three"))
    parked = tuple(ends for tray in plan.trays for ends in tray.parked)
    assert [(ends.cable, ends.tube, ends.ribbons) for ends in parked] == [("A", 2, 4), ("B", 1, 1)]
    elsewhere = [replace(tray, parked=()) for tray in plan.trays[1:]]
    plan = replace(plan, trays=(replace(plan.trays[0], parked=parked), *elsewhere))
    after = after_addition(contents, plan, asked, CATALOGUE)
    counts = [sum(e.ribbons for e in tray.parked if (e.cable, e.tube) == ("B", 1)) for tray in after.trays]
    assert counts[:2] == [1, 5]


def test_every_fault_points_into_the_addition() -> None:
    """A tag that hangs, a code that is unknown, a cable given up, an end spliced, a range outside: all told at once."""
    contents = hung(
        [ribbon_joint("A", "1-6", "B", "1-6"), ribbon_joint("A", "7", "D", "1")], {**CABLES, "D": "loose-96"}
    )
    contents = after_abandoning(contents, "D", CATALOGUE)
    asked = AdditionRequest(
        (
            ribbon_joint("A", "6-7", "B", "6-7"),
            ribbon_joint("D", "2", "A", "299"),
            ribbon_joint("Z", "2", "A", "20"),
        ),
        (CableAtPoint("E", "drop-24"), CableAtPoint("A", "flat-288"), CableAtPoint("F", "none")),
        rules=replace(Rules(), rework=0.1, rework_fibre=0.01),
    )
    with pytest.raises(Refused) as refusal:
        addition_request(contents, asked, CATALOGUE)
    assert sorted((fault.pointer, fault.code) for fault in refusal.value.faults) == [
        ("/cables/1/tag", "duplicate"),
        ("/cables/2/cable", "unknown_code"),
        ("/joints/0/from/ribbons", "used_twice"),
        ("/joints/0/to/ribbons", "used_twice"),
        ("/joints/1/from/cable", "abandoned"),
        ("/joints/1/to/ribbons", "outside"),
        ("/joints/2/from/cable", "unknown_tag"),
        ("/rules/rework_fibre", "conflict"),
    ]


def test_what_is_wrong_with_the_closure_itself_points_at_the_whole() -> None:
    """A cable or a tray that the catalogue has no more cannot be told at a place in the addition."""
    contents = hung([ribbon_joint("A", "1-6", "B", "1-6")])
    asked = AdditionRequest((ribbon_joint("A", "7", "B", "7"),))
    without_b = replace(CATALOGUE, cables={"flat-288": CATALOGUE.cables["flat-288"]})
    without_tray = replace(CATALOGUE, trays={c: t for c, t in CATALOGUE.trays.items() if c != contents.trays[0].tray})
    for catalogue in (without_b, without_tray):
        with pytest.raises(Refused) as refusal:
            addition_request(contents, asked, catalogue)
        assert {fault.pointer for fault in refusal.value.faults} == {""}


def test_an_addition_is_recorded_once_and_only_on_what_it_was_planned_for() -> None:
    """Once it lies there the same plan is refused, and so is one that does not fit, or adds to a closure as a first."""
    contents = hung([ribbon_joint("A", "1-6", "B", "1-6")])
    plan, request = added(contents, ribbon_joint("A", "7-8", "B", "7-8"))
    after = after_addition(contents, plan, request, CATALOGUE)
    for refused, code in (
        (lambda: after_addition(after, plan, request, CATALOGUE), "changed"),
        (lambda: after_addition(contents, replace(plan, fits=False), request, CATALOGUE), "does_not_fit"),
        (lambda: first_contents(plan, request, CATALOGUE), "hangs_already"),
        (
            lambda: first_contents(replace(plan, fits=False), replace(request, existing_trays=()), CATALOGUE),
            "does_not_fit",
        ),
    ):
        with pytest.raises(Refused) as refusal:
            refused()
        assert [(fault.pointer, fault.code) for fault in refusal.value.faults] == [("/plan", code)]


def free_of(contents: Contents, tray: HungTray, kind: str) -> int:
    """Slots that are free for a kind in a tray, its unset banks set to it."""
    lying = sum(splice.position == tray.position for splice in contents.splices)
    given = sum(
        bank.get(kind, 0)
        for number, bank in enumerate(CATALOGUE.trays[tray.tray].single_banks(), start=1)
        if all(each.bank != number or each.slot_kind == kind for each in tray.banks)
    )
    return given - lying


@pytest.mark.parametrize("ribbons", [1, 2, 3, 4, 5, 6])
@pytest.mark.parametrize("gone", [(1, 2, 8, 9), (1, 7, 8, 9, 13), (1, 2, 3, 7, 8, 13, 14, 15, 16)])
def test_no_fewer_trays_could_be_opened(ribbons: int, gone: tuple[int, ...]) -> None:
    """Of splices kept one by one, every choice of hanging trays is tried: no smaller one has slots enough."""
    contents = after_removal(hung([ribbon_joint("A", "1-18", "B", "1-18")]), gone, CATALOGUE)
    roomy = replace(
        CATALOGUE,
        trays={code: replace(t, storage_mm2=900.0, entry_ribbons_max=None) for code, t in CATALOGUE.trays.items()},
    )
    asked = AdditionRequest(
        (ribbon_joint("A", f"19-{18 + ribbons}", "B", f"19-{18 + ribbons}"),), rules=replace(Rules(), keep="none")
    )
    plan = plan_splice_point(addition_request(contents, asked, roomy), roomy)
    assert plan.proof is not None and plan.proof.optimal
    room = [free_of(contents, tray, "ribbon-12") for tray in contents.trays]
    enough = [
        size for size in range(len(room) + 1) if any(sum(chosen) >= ribbons for chosen in combinations(room, size))
    ]
    if enough:
        # Parked ends may ask for a tray of their own only where no tray that is opened has room: channels are wide.
        assert (plan.proof.trays, plan.proof.opened) == (0, enough[0])
    else:
        assert plan.proof.trays > 0
