"""Cables that hang already: where they may hang, which of their ends are free, and what an addition brings along."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.plan import plan_to
from service.domain.catalogue import MaterialRule, When
from service.domain.faults import Refused
from service.domain.request import (
    CableAtPoint,
    Crew,
    ExistingBank,
    ExistingTray,
    HangingCable,
    Joint,
    PlanRequest,
)
from service.planning.joints import work_of
from service.planning.plan import plan_splice_point
from service.planning.ports import Entry, assign_ports
from service.verifying.verify import verify
from tests.planning.entries import at_point, closure, port
from tests.small_catalogue import fibre_joint, ribbon_joint, side, small_catalogue

CATALOGUE = small_catalogue()
TRAYS = (ExistingTray("r12", (ExistingBank(1, "ribbon-12", 3, ((1, 2), (5, 5))),), None, 60.0, 9),)


def asked(joints: list[Joint], *new: CableAtPoint, **hanging: HangingCable) -> PlanRequest:
    """A request for dome-48 in which A (flat, ends here) and X (rollable, passes through) hang."""
    models = {"A": "flat-288", "X": "roll-288"}
    cables = [CableAtPoint(tag, models[tag], None, tag == "X", hung) for tag, hung in hanging.items()]
    return PlanRequest((*cables, *new), tuple(joints), closures=("dome-48",), existing_trays=TRAYS)


def faults_of(request: PlanRequest) -> list[tuple[str, str]]:
    """Pointers and codes of what is refused."""
    with pytest.raises(Refused) as refusal:
        work_of(request, CATALOGUE)
    return [(fault.pointer, fault.code) for fault in refusal.value.faults]


C = CableAtPoint("C", "drop-24")
A = HangingCable(("oval-1",), ((1, 72),), ((1, 36),))
X = HangingCable(("oval-1", "round-1"), ((1, 24),), ((1, 24),), ((1, 12),), 3000.0)


@pytest.mark.parametrize(
    ("hanging", "expected"),
    [
        (replace(A, ports=("oval-2",)), ("/cables/0/hanging/ports/0", "unknown_port")),
        (replace(A, ports=("oval-1", "round-1")), ("/cables/0/hanging/ports", "not_express")),
        (replace(A, cut=((1, 289),)), ("/cables/0/hanging/cut", "outside")),
        (replace(A, spliced=((4, 3),)), ("/cables/0/hanging/spliced", "outside")),
        (replace(A, spliced_out=((1, 1),)), ("/cables/0/hanging/spliced_out", "not_express")),
        (replace(A, window_mm=1.0), ("/cables/0/hanging/window_mm", "not_express")),
    ],
)
def test_a_cable_hangs_as_its_closure_and_its_kind_allow(hanging: HangingCable, expected: tuple[str, str]) -> None:
    """A port that is there, one for a cable that ends, fibres that it has; each told where it stands."""
    assert faults_of(asked([ribbon_joint("A", "7-8", "C", "1-2")], C, A=hanging)) == [expected]


def test_ports_are_not_fuller_than_they_can_be_and_trays_hang_too() -> None:
    """An express cable in one port takes two of its entries; and no cable hangs where no tray does."""
    joint = [ribbon_joint("A", "7-8", "C", "1-2")]
    crowd = asked(joint, C, X=replace(X, ports=("oval-1",)), A=A)
    assert faults_of(crowd) == [("/cables/1/hanging/ports/0", "too_many")]
    assert faults_of(replace(asked(joint, C, A=A), existing_trays=())) == [("/cables/0/hanging", "no_trays")]


def test_an_end_that_is_spliced_already_is_not_spliced_again() -> None:
    """Ribbon 3 of A lies in a splice and ribbon 4 is parked; of X the outgoing end of ribbon 2 is free."""
    assert faults_of(asked([ribbon_joint("A", "3-4", "C", "1-2")], C, A=A)) == [
        ("/joints/0/from/ribbons", "used_twice")
    ]
    assert faults_of(asked([fibre_joint("X", "13", "C", "1")], C, X=X)) == [("/joints/0/from/fibres", "used_twice")]
    work = work_of(asked([Joint(side("X", "2", end="out"), side("C", "1"))], C, X=X), CATALOGUE)
    assert work.splices == 1


def test_what_was_cut_before_is_not_parked_again() -> None:
    """Ribbon 5 of A is parked in tube 1: nothing new is. Ribbon 7 opens tube 2: its five others are parked."""
    work = work_of(asked([ribbon_joint("A", "5", "C", "1")], C, A=A), CATALOGUE)
    assert [ends.cable for ends in work.stored] == ["C"] and work.opened_now == ("C",)
    lanes = work.lanes[0]
    assert (lanes.spliced, lanes.stored, lanes.opened) == (48, 24, (1,))
    assert any("parked ends of A" in note for note in work.notes)
    work = work_of(asked([ribbon_joint("A", "7", "C", "1")], C, A=A), CATALOGUE)
    assert [(e.cable, e.tube, e.ribbons) for e in work.stored] == [("A", 2, (8, 9, 10, 11, 12)), ("C", 1, (2,))]
    assert work.opened_now == ("A", "C") and not any("parked ends" in note for note in work.notes)


def test_of_a_passing_cable_only_ribbons_cut_now_are_parked() -> None:
    """Ribbon 3 of X is cut in a tube that was open: its other end is parked; ribbon 2 was cut before: nothing is."""
    work = work_of(asked([ribbon_joint("X", "3", "C", "1")], C, X=X), CATALOGUE)
    assert [(e.cable, e.end, e.ribbons) for e in work.stored if e.cable == "X"] == [("X", "out", (3,))]
    lanes = work.lanes[0]
    assert (lanes.spliced, lanes.stored, lanes.express, lanes.opened) == (48, 24, 252, (1,))
    work = work_of(asked([Joint(side("X", "2", end="out"), side("C", "1"))], C, X=X), CATALOGUE)
    assert [ends for ends in work.stored if ends.cable == "X"] == []


def test_new_splices_lie_in_the_slots_that_are_free() -> None:
    """Slots 1, 2 and 5 are taken: four ribbons lie in 3, 4 and 6, and one in the other bank or tray."""
    plan = plan_splice_point(
        asked([ribbon_joint("A", "7-9", "C2", "1-3")], CableAtPoint("C2", "odd-100"), A=A), CATALOGUE
    )
    assert [(s.bank, s.slot) for s in plan.trays[0].splices] == [(1, 3), (1, 4), (1, 6)]
    assert plan.proof is not None and plan.proof.trays == 0 and plan.trays[0].banks[0].used == 6


def test_a_hanging_cable_keeps_its_port_and_only_new_ones_are_prepared_and_sealed() -> None:
    """C comes in through round-1: one seal, one cable kit, one preparation; the blanks and A's seal are there."""
    rules = [
        MaterialRule(f"m-{per}", per, per, Decimal(1), "piece") for per in ("closure", "port", "blank_port", "cable")
    ]
    kit = MaterialRule("m-kit", "kit", "closure", Decimal(1), "piece", When(re_entry=True))
    catalogue = replace(CATALOGUE, materials={rule.code: rule for rule in [*rules, kit]})
    request = replace(asked([ribbon_joint("A", "7-8", "C", "1-2")], C, A=A), crew=Crew())
    plan = plan_splice_point(request, catalogue)
    assert {use.port: use.cables for use in plan.ports} == {"oval-1": ("A",), "round-1": ("C",)}
    counted = {line.material: line.quantity for line in plan.materials if line.kind == "material"}
    assert counted == {"m-closure": 1, "m-kit": 1, "m-port": 1, "m-cable": 1}
    slack = {line.cable: line.sheath_opening_mm for line in plan.slack}
    assert slack["A"] == slack["C"] > 0
    again = plan_splice_point(replace(asked([ribbon_joint("A", "5-6", "C", "1-2")], C, A=A), crew=Crew()), catalogue)
    assert {line.cable: line.sheath_opening_mm for line in again.slack}["A"] == 0
    fresh = replace(request, cables=(replace(request.cables[0], hanging=None), C))
    other = plan_splice_point(fresh, catalogue)
    assert plan.crew is not None and other.crew is not None
    assert other.crew.hours_median - plan.crew.hours_median == pytest.approx(0.5)


def test_a_hanging_passing_cable_takes_express_room_by_the_window_it_has() -> None:
    """New passing cable: room enough beside an empty closure, not beside the uncut tubes of X."""
    need = {}
    model = replace(CATALOGUE.closures["line-96"], express_turn_mm=1000.0, express_mm2=1e6)
    for window in (None, 3000.0, 6000.0):
        hung = HangingCable(("left-1", "left-2"), window_mm=window)
        cables = (CableAtPoint("X", "roll-288", None, True, hung), CableAtPoint("Y", "flat-288", None, True), C)
        request = PlanRequest(
            cables, (ribbon_joint("Y", "1", "C", "1"),), closures=("line-96",), existing_trays=(ExistingTray("r12"),)
        )
        for room in (1e6, 1.0):
            catalogue = replace(CATALOGUE, closures={"line-96": replace(model, express_mm2=room)})
            plan = plan_splice_point(request, catalogue)
            assert plan.fits == (room > 1.0)
            need[window, room] = [reason.need for reason in plan.reasons if reason.limit == "express"]
        assert any("X hangs already and its window is not told" in note for note in plan.notes) == (window is None)
    beside = [need[window, 1.0][0] - need[None, 1.0][0] for window in (3000.0, 6000.0)]
    # Three turns of 1000 mm and six: twice the room.
    assert beside[0] > 0 and beside[1] == pytest.approx(2 * beside[0], abs=0.2)


PORTS = (port("oval", 2, 10, 25, 2), port("round", 3, 5, 20), port("wide", 1, 5, 30, 3))


def entries(draw: Callable[[Any], Any]) -> list[Entry]:
    """Cables that go in, as drawn, passing ones among them."""
    drawn = draw(st.lists(st.tuples(st.integers(5, 27), st.booleans()), min_size=1, max_size=6))
    return [at_point(chr(65 + n), float(od), express=express) for n, (od, express) in enumerate(drawn)]


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_new_cables_go_where_the_hanging_ones_leave_room(data: st.DataObject) -> None:
    """Any part of a matching that exists can hang: the rest goes in and nobody moves."""
    shell, cables = closure(ports=PORTS), entries(data.draw)
    whole = assign_ports(shell, cables)
    if not whole.fits:
        return
    held: dict[str, tuple[str, ...]] = {
        at.tag: tuple(use.port for use in whole.uses if at.tag in use.cables) for at, _ in cables
    }
    hung = data.draw(st.sets(st.sampled_from(sorted(held))))
    mixed = [(replace(at, hanging=HangingCable(held[at.tag])) if at.tag in hung else at, c) for at, c in cables]
    plan = assign_ports(shell, mixed)
    assert plan.fits
    places = {f"{each.name}-{n + 1}": each for each in PORTS for n in range(each.count)}
    for use in plan.uses:
        assert len(use.cables) <= places[use.port].cables
        assert all(places[use.port].od_min_mm <= od <= places[use.port].od_max_mm for od in use.od_mm)
    for at, _ in cables:
        ports = tuple(use.port for use in plan.uses if at.tag in use.cables)
        assert sum(use.cables.count(at.tag) for use in plan.uses) == (2 if at.express else 1)
        assert at.tag not in hung or ports == held[at.tag]
    assert sorted({use.port for use in plan.uses} | set(plan.blanks)) == sorted(places)


def test_where_no_place_is_left_the_new_cable_does_not_go_in() -> None:
    """Both entries of the only port are taken by a passing cable: what is new has none, though it would fit alone."""
    shell = closure(ports=(port("oval", 1, 10, 25, 2),))
    hung = at_point("A", 20.0, express=True)
    new = at_point("B", 20.0)
    assert assign_ports(shell, [new]).fits
    plan = assign_ports(shell, [(replace(hung[0], hanging=HangingCable(("oval-1",))), hung[1]), new])
    assert not plan.fits and [(r.limit, r.need, r.have) for r in plan.reasons] == [("ports", 1, 0)]
    alone = assign_ports(shell, [(replace(hung[0], hanging=HangingCable(("oval-1",))), hung[1])])
    assert alone.fits and [use.cables for use in alone.uses] == [("A", "A")]


def _plan() -> dict[str, Any]:
    """An addition with a cable that ends, one that passes and a new one, as JSON."""
    joints = [ribbon_joint("A", "7-8", "C", "1-2"), Joint(side("A", "5"), side("X", "2", end="out"))]
    request = asked(joints, C, A=A, X=replace(X, ports=("oval-1", "round-1")))
    plan = plan_splice_point(request, CATALOGUE)
    assert plan.fits
    document: dict[str, Any] = json.loads(json.dumps(plan_to(plan)))
    return document


def _moved_port(plan: dict[str, Any]) -> None:
    next(use for use in plan["ports"] if use["port"] == "round-1")["port"] = "round-3"
    plan["spare_ports"] = ["round-1" if name == "round-3" else name for name in plan["spare_ports"]]


def _taken_slot(plan: dict[str, Any]) -> None:
    plan["trays"][0]["splices"][0]["slot"] = 5


def _end_spliced_before(plan: dict[str, Any]) -> None:
    splice = next(s for tray in plan["trays"] for s in tray["splices"] if s["from"]["ribbon"] == 5)
    splice["from"]["ribbon"] = 3


def _lane(plan: dict[str, Any]) -> None:
    plan["lanes"][0]["stored"] += 12


def _never_cut(plan: dict[str, Any]) -> None:
    del plan["certificate"]["cables"][0]["hanging"]["cut"]
    del plan["certificate"]["cables"][0]["hanging"]["spliced"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        (_moved_port, "/ports"),
        (_taken_slot, "/trays/0/splices/0/slot"),
        (_end_spliced_before, "/trays/0/splices/"),
        (_lane, "/lanes/0/stored"),
        (_never_cut, "/certificate/parked"),
    ],
)
def test_the_checker_finds_an_addition_that_was_changed(change: Callable[[dict[str, Any]], None], pointer: str) -> None:
    """A hanging cable moved, a slot or an end used twice, a lane or the certificate's cuts untrue: all found."""
    plan = _plan()
    report = verify(plan)
    assert report.breaches == () and report.bound == "re-proved"
    changed = deepcopy(plan)
    change(changed)
    assert any(breach.pointer.startswith(pointer) for breach in verify(changed).breaches)
