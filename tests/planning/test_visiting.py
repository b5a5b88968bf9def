"""What a visit is told to have done follows from what lay there before and after."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from service.planning.visiting import visit_between
from tests.hung_closures import START, contents, splice

DAY = date(2026, 5, 4)


def test_hanging_brings_all_that_lies_there() -> None:
    """Every splice, cable and tray of the first visit."""
    plan = "f" * 32
    visit = visit_between("hung", None, contents(3), DAY, START, "Crew 3", "Lid stiff.", plan)
    assert (visit.number, visit.splices, visit.cables, visit.trays) == (1, (1, 2, 3), ("A", "B"), (1,))
    assert (visit.on, visit.recorded, visit.by, visit.note, visit.plan) == (DAY, START, "Crew 3", "Lid stiff.", plan)


def test_an_addition_tells_what_is_new_alone() -> None:
    """A splice, a cable and a tray more."""
    before = contents(3)
    after = replace(
        before,
        splices=(*before.splices, splice(4, 2, 2)),
        cables=(*before.cables, replace(before.cables[0], tag="D", visit=2)),
        trays=(*before.trays, replace(before.trays[0], position=2, visit=2)),
        visits=2,
    )
    visit = visit_between("added", before, after, DAY, START)
    assert (visit.number, visit.splices, visit.cables, visit.trays) == (2, (4,), ("D",), (2,))


def test_what_went_is_told_by_its_number() -> None:
    """Splices taken out, and the cable that was given up now, not the one that was before."""
    before = contents(3)
    before = replace(before, cables=(replace(before.cables[0], abandoned=True), before.cables[1]))
    given_up = tuple(replace(cable, abandoned=True) for cable in before.cables)
    after = replace(before, splices=before.splices[1:], cables=given_up, visits=2)
    visit = visit_between("cable_abandoned", before, after, DAY, START)
    assert (visit.splices, visit.cables, visit.trays) == ((1,), ("B",), ())
