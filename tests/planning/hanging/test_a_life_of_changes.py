"""A closure through a life of changes: additions, splices taken out, cables given up, in any order."""

from __future__ import annotations

import json
from dataclasses import replace

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from service.documents.plan import plan_to
from service.documents.request import request_from, request_to
from service.domain.addition import AdditionRequest
from service.domain.faults import Refused
from service.domain.installation import Contents
from service.domain.request import CableAtPoint, Joint, Rules, Side
from service.planning.hanging.adding import addition_request
from service.planning.hanging.free_room import free_room
from service.planning.hanging.laying import after_addition, first_contents
from service.planning.hanging.leaving import after_abandoning, after_removal
from service.planning.plan import plan_splice_point
from service.verifying.verify import verify
from tests.planning.hanging.hung_catalogue import hung_catalogue
from tests.planning.hanging.invariants import fibres, hold
from tests.small_catalogue import request_for, ribbon_joint

CATALOGUE = hung_catalogue()
EXPRESS = frozenset({"B", "G"})
MODELS = {"A": "flat-288", "B": "roll-288", "D": "loose-96", "F": "flat-24s", "G": "flat-24s"}


def free_units(contents: Contents, tag: str, model: str, end: str, by_ribbon: bool) -> list[int]:
    """The ribbons or fibres of a cable's end that no splice holds."""
    cable = CATALOGUE.cables[model]
    ends = (end for splice in contents.splices for end in (splice.from_, splice.to))
    taken = {each for one in ends if one.cable == tag for each in fibres(one, contents, CATALOGUE)}
    if not by_ribbon:
        return [n for n in range(1, min(cable.fibres, 48) + 1) if (tag, end, n) not in taken]
    size = cable.ribbon_fibres
    return [
        r
        for r in range(1, min(cable.ribbons, 16) + 1)
        if not any((tag, end, n) in taken for n in range((r - 1) * size + 1, r * size + 1))
    ]


@st.composite
def asked_joints(draw: st.DrawFn, contents: Contents, models: dict[str, str], any_end: bool) -> tuple[Joint, ...]:
    """One to three joints of two cables each: of ends that no splice holds, or of any (``any_end``)."""
    joints = []
    used: dict[tuple[str, str], set[int]] = {}
    for _ in range(draw(st.integers(1, 3))):
        one, other = draw(st.permutations(sorted(models)))[:2]
        by_ribbon = draw(st.integers(0, 3)) > 0
        twelves = {tag: by_ribbon and models[tag] == "flat-24s" for tag in (one, other)}
        run = draw(st.integers(1, 7))
        sides = []
        for tag in (one, other):
            end = draw(st.sampled_from(["in", "out"])) if tag in EXPRESS else "in"
            free = free_units(contents, tag, models[tag], end, by_ribbon)
            if any_end:
                free = list(range(1, 9))
            # Ribbons and fibres of one cable are not named together: which of them are free is not looked into here.
            gone = used.setdefault((tag, end), set())
            free = [] if by_ribbon and 0 in gone else [unit for unit in free if unit not in gone]
            skip = draw(st.integers(0, 3))
            wanted = run * 2 if not twelves[tag] and twelves[one] != twelves[other] else run
            chosen = free[skip : skip + wanted]
            gone.update(chosen)
            gone.update(() if by_ribbon else (0,))
            ranges = tuple((unit, unit) for unit in chosen)
            sides.append(Side(tag, ranges if by_ribbon else None, None if by_ribbon else ranges, end))  # type: ignore[arg-type]
        if all(len(side.ribbons or side.fibres or ()) for side in sides):
            label = draw(st.sampled_from([None, None, "lease", "rail"]))
            joints.append(Joint(sides[0], sides[1], label, twelves[one] != twelves[other]))
    return tuple(joints)


class Life(RuleBasedStateMachine):
    """One closure, from its hanging on; every plan for it is verified, and what it does not fit is left undone."""

    contents: Contents
    added = 0

    @initialize(parked_in=st.sampled_from(["storage", "slots"]))
    def hung(self, parked_in: str) -> None:
        """The first visit: an express cable and two that end, some tubes opened in part."""
        joints = [ribbon_joint("A", "1-8", "B", "1-8"), ribbon_joint("A", "13-14", "D", "1-2", keep_apart="lease")]
        request = request_for(
            {"A": "flat-288", "B": "roll-288", "D": "loose-96"}, joints, ("hung",), express="B", stored_ends=parked_in
        )
        plan = plan_splice_point(request, CATALOGUE)
        assert plan.fits
        self.rules = replace(Rules(), stored_ends=parked_in)
        self.contents = first_contents(plan, request, CATALOGUE)

    @rule(data=st.data())
    def add(self, data: st.DataObject) -> None:
        """More cables and joints: refused with pointers, or planned, verified and laid."""
        tags = [cable.tag for cable in self.contents.cables]
        new = [CableAtPoint(tag, MODELS[tag], express=tag in EXPRESS) for tag in ("F", "G") if tag not in tags]
        new = new[: data.draw(st.integers(0, 1), label="new cables")]
        models = {cable.tag: cable.cable for cable in self.contents.cables if not cable.abandoned}
        models |= {at.tag: at.cable for at in new}
        joints = data.draw(asked_joints(self.contents, models, data.draw(st.integers(0, 9)) == 0), label="joints")
        if not joints:
            return
        asked = AdditionRequest(joints, tuple(new), "added", self.rules)
        try:
            request = addition_request(self.contents, asked, CATALOGUE)
        except Refused as refusal:
            assert all(fault.pointer.startswith(("/joints", "/cables")) for fault in refusal.faults)
            return
        assert request_from(request_to(request)) == request
        plan = plan_splice_point(request, CATALOGUE)
        written = json.loads(json.dumps(plan_to(plan)))
        assert verify(written).breaches == ()
        assert json.loads(json.dumps(plan_to(plan_splice_point(request, CATALOGUE)))) == written
        if not plan.fits:
            return
        before = self.contents
        self.contents = after_addition(before, plan, request, CATALOGUE)
        self.added += 1
        assert self.contents.splices[: len(before.splices)] == before.splices
        assert len(self.contents.splices) == len(before.splices) + plan.splices
        assert {cable.tag: cable.ports for cable in before.cables}.items() <= {
            cable.tag: cable.ports for cable in self.contents.cables
        }.items()
        for planned, tray in zip(plan.trays, self.contents.trays, strict=True):
            assert planned.storage_used_mm2 >= tray.storage_used_mm2 - 0.051
            assert planned.keep_apart == tray.keep_apart
        for was, now in zip(before.trays, self.contents.trays, strict=False):
            # Where ends still lie parked nobody knows which slot is empty: none of theirs is given away.
            held = {(bank.bank, slot) for bank in was.banks for slot in bank.parked}
            assert not now.parked or held <= {(bank.bank, slot) for bank in now.banks for slot in bank.parked}

    @precondition(lambda self: self.contents.splices)
    @rule(data=st.data())
    def take_out(self, data: st.DataObject) -> None:
        """Some splices are taken out; channels stay charged as they were."""
        numbers = [splice.number for splice in self.contents.splices]
        chosen = data.draw(st.lists(st.sampled_from(numbers), min_size=1, max_size=6, unique=True), label="taken out")
        before = self.contents
        self.contents = after_removal(before, chosen, CATALOGUE)
        assert [tray.storage_used_mm2 for tray in self.contents.trays] == [
            tray.storage_used_mm2 for tray in before.trays
        ]
        assert [splice for splice in before.splices if splice.number not in chosen] == list(self.contents.splices)

    @precondition(lambda self: sum(not cable.abandoned for cable in self.contents.cables) > 2)
    @rule(data=st.data())
    def give_up(self, data: st.DataObject) -> None:
        """A cable is given up: nothing of it is in use, and it keeps its port."""
        tags = [cable.tag for cable in self.contents.cables if not cable.abandoned]
        tag = data.draw(st.sampled_from(tags), label="given up")
        self.contents = after_abandoning(self.contents, tag, CATALOGUE)
        assert not any(tag in (splice.from_.cable, splice.to.cable) for splice in self.contents.splices)
        assert not any(ends.cable == tag for tray in self.contents.trays for ends in tray.parked)

    @invariant()
    def in_order(self) -> None:
        """What is true of every hung closure is true of this one, and its free room is what its slots leave."""
        hold(self.contents, CATALOGUE)
        room = free_room(self.contents, CATALOGUE)
        held = sum(len(bank.parked) for tray in self.contents.trays for bank in tray.banks)
        given = sum(bank.slots for tray in self.contents.trays for bank in tray.banks)
        assert sum(slots.free for slots in room.slots) == given - len(self.contents.splices) - held


TestLife = Life.TestCase
TestLife.settings = settings(
    max_examples=25, stateful_step_count=12, deadline=None, suppress_health_check=list(HealthCheck)
)
