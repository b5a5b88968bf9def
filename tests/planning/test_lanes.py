"""Every fibre of an opened tube is spliced, stored or express."""

from __future__ import annotations

from service.domain.request import Joint
from service.domain.splices import Lanes, Work
from service.planning.joints import work_of
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint, side, small_catalogue

CATALOGUE = small_catalogue()


def lane(work: Work, tag: str) -> Lanes:
    """The lane summary of one cable."""
    return next(lane for lane in work.lanes if lane.cable == tag)


def test_the_rest_of_an_opened_tube_of_an_ending_cable_is_stored() -> None:
    """Ribbons 1-4 of a tube of six: 5 and 6 are cut and parked."""
    work = work_of(request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1-4", "B", "1-4")]), CATALOGUE)
    stored = {(ends.cable, ends.tube): ends.ribbons for ends in work.stored}
    assert stored == {("A", 1): (5, 6), ("B", 1): tuple(range(5, 13))}
    assert lane(work, "A") == Lanes("A", 48, 24, 0, (1,), 0)


def test_the_rest_of_a_ribbon_joined_by_fibres_is_stored_as_fibres() -> None:
    """Fibres 1-4 of ribbon 1: 5-12 are loose ends, ribbon 2 a whole one."""
    work = work_of(request_for({"C": "drop-24", "D": "bare-8"}, [fibre_joint("C", "1-4", "D", "1-4")]), CATALOGUE)
    ends = {e.cable: (e.ribbons, e.fibres) for e in work.stored}
    assert ends == {"C": ((2,), tuple(range(5, 13))), "D": ((), (5, 6, 7, 8))}


def test_of_an_express_cable_only_what_is_named_is_cut() -> None:
    """Ribbon 1 of 24 is cut: its outgoing end is parked, the other 23 ribbons pass uncut."""
    work = work_of(
        request_for({"A": "flat-288", "C": "drop-24"}, [ribbon_joint("A", "1", "C", "1")], express="A"), CATALOGUE
    )
    assert [(e.cable, e.end, e.ribbons) for e in work.stored] == [("A", "out", (1,)), ("C", "in", (2,))]
    assert lane(work, "A") == Lanes("A", 12, 12, 276, (1,), 3)


def test_spliced_stored_and_express_add_up_to_every_fibre_end() -> None:
    """Of an express cable a cut fibre has two ends, an uncut one passes whole."""
    joints = [Joint(side("A", "1-3"), side("C", "1-3")), Joint(side("A", "2", end="out"), side("C", "4"))]
    work = work_of(request_for({"A": "flat-288", "C": "flat-288"}, joints, express="A"), CATALOGUE)
    of_a = lane(work, "A")
    assert of_a.spliced + of_a.stored == 2 * 3 * 12
    assert of_a.express == 288 - 36
    of_c = lane(work, "C")
    assert of_c.spliced + of_c.stored == 72
