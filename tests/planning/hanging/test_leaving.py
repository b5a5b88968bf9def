"""What is left when splices are taken out and cables are given up."""

from __future__ import annotations

import pytest

from service.domain.faults import Refused
from service.domain.installation import Contents
from service.domain.plan import ParkedEnds
from service.planning.hanging.laying import first_contents
from service.planning.hanging.leaving import after_abandoning, after_removal
from service.planning.plan import plan_splice_point
from tests.planning.hanging.hung_catalogue import hung_catalogue
from tests.planning.hanging.invariants import hold
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint

CATALOGUE = hung_catalogue()


def hung() -> Contents:
    """Six ribbons of A to B, under a label; ribbon 7 of A to loose fibres made into one; a split 24; one fibre."""
    joints = [
        ribbon_joint("A", "1-6", "B", "1-6", keep_apart="lease"),
        ribbon_joint("A", "7", "D", "1"),
        ribbon_joint("F", "1", "A", "13-14", split_ribbons=True),
        fibre_joint("A", "265", "B", "265"),
    ]
    request = request_for({"A": "flat-288", "B": "roll-288", "D": "loose-96", "F": "flat-24s"}, joints, ("hung",))
    return first_contents(plan_splice_point(request, CATALOGUE), request, CATALOGUE)


def number_of(contents: Contents, tag: str, ribbon: int) -> int:
    """The splice of a ribbon."""
    return next(s.number for s in contents.splices if (tag, ribbon) in [(e.cable, e.ribbon) for e in (s.from_, s.to)])


def parked(contents: Contents, position: int, tag: str, tube: int) -> tuple[int, int]:
    """Ribbons and fibres of a tube that are parked in a tray."""
    ends: list[ParkedEnds] = [
        each
        for tray in contents.trays
        if tray.position == position
        for each in tray.parked
        if (each.cable, each.tube) == (tag, tube)
    ]
    return sum(each.ribbons for each in ends), sum(each.fibres for each in ends)


def test_both_ends_of_a_splice_that_is_taken_out_are_parked_where_they_lie() -> None:
    """One ribbon each, no channel freed, the others as they were; a number is not given twice."""
    before = hung()
    splice = before.splices[number_of(before, "B", 3) - 1]
    after = after_removal(before, [splice.number], CATALOGUE)
    hold(after, CATALOGUE)
    for tag in ("A", "B"):
        was, now = (parked(each, splice.position, tag, 1) for each in (before, after))
        assert now == (was[0] + 1, was[1])
    assert [t.storage_used_mm2 for t in after.trays] == [t.storage_used_mm2 for t in before.trays]
    assert (after.splices_laid, after.visits, len(after.splices)) == (10, 2, 9)
    assert after.cables == before.cables


def test_halves_and_ribbonised_fibres_are_parked_as_fibres() -> None:
    """Half of F's first 24 leaves twelve fibres; so does the tube of D that was made into a ribbon."""
    before = hung()
    for tag, tube in (("F", 1), ("D", 1)):
        splice = before.splices[number_of(before, tag, 1) - 1]
        after = after_removal(before, [splice.number], CATALOGUE)
        hold(after, CATALOGUE)
        was, now = (parked(each, splice.position, tag, tube) for each in (before, after))
        assert now == (was[0], was[1] + 12)


def test_a_tray_without_splices_keeps_nothing_apart() -> None:
    """All of lease taken out of its tray: the label goes with the last splice there, not before."""
    before = hung()
    (labelled,) = [tray for tray in before.trays if tray.keep_apart == "lease"]
    there = [s.number for s in before.splices if s.position == labelled.position]
    part = after_removal(before, there[:-1], CATALOGUE)
    assert part.trays[labelled.position - 1].keep_apart == "lease"
    assert after_removal(part, there[-1:], CATALOGUE).trays[labelled.position - 1].keep_apart is None


def test_what_does_not_lie_there_cannot_be_taken_out() -> None:
    """Unknown numbers, numbers named twice and no number at all are refused, each at its place."""
    contents = hung()
    for numbers, expected in (
        ([1, 99, 1], [("/splices/1", "not_there"), ("/splices/2", "duplicate")]),
        ([], [("/splices", "nothing")]),
    ):
        with pytest.raises(Refused) as refusal:
            after_removal(contents, numbers, CATALOGUE)
        assert [(fault.pointer, fault.code) for fault in refusal.value.faults] == expected


def test_a_cable_that_is_given_up_leaves_room_and_keeps_its_port() -> None:
    """B's splices go, A's ends of them are parked where they lie, and B's share of the channels is free."""
    before = hung()
    after = after_abandoning(before, "B", CATALOGUE)
    hold(after, CATALOGUE)
    of_b = {s.number: s for s in before.splices if "B" in (s.from_.cable, s.to.cable)}
    assert {s.number for s in before.splices} - {s.number for s in after.splices} == set(of_b)
    for was, now in zip(before.trays, after.trays, strict=True):
        freed = sum(s.storage_mm2[1] for s in of_b.values() if s.position == was.position)
        freed += sum(ends.storage_mm2 for ends in was.parked if ends.cable == "B")
        assert was.storage_used_mm2 - now.storage_used_mm2 == pytest.approx(freed, abs=1e-5)
    was_b, now_b = (next(cable for cable in each.cables if cable.tag == "B") for each in (before, after))
    assert (now_b.ports, now_b.cut, now_b.abandoned, was_b.abandoned) == (was_b.ports, (), True, False)
    for tag, code in (("B", "abandoned"), ("Z", "unknown_tag")):
        with pytest.raises(Refused) as refusal:
            after_abandoning(after, tag, CATALOGUE)
        assert [(fault.pointer, fault.code) for fault in refusal.value.faults] == [("/cable", code)]
