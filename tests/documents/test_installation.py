"""Hung closures as documents: kept to the last digit, told rounded."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import orjson

from service.documents.contents import contents_from, contents_to
from service.documents.installation import installation_to, planned_for_to
from service.documents.visit_request import place_from, visit_said
from service.documents.visits import visit_from, visit_to
from service.domain.installation import Place
from service.domain.installation_summary import PlannedFor, entries_in
from tests.hung_closures import contents, hung, one_more


def test_contents_are_read_back_as_they_were_written() -> None:
    """Through JSON too: the next visit is planned from them, so nothing may be lost or rounded."""
    before = contents()
    assert contents_from(orjson.loads(orjson.dumps(contents_to(before)))) == before


def test_a_visit_is_read_back_as_it_was_written() -> None:
    """With a plan and without."""
    for _, visit in (hung("f" * 32), hung()):
        assert visit_from(orjson.loads(orjson.dumps(visit_to(visit)))) == visit


def test_a_bank_tells_what_splices_and_parked_ends_take() -> None:
    """Three splices and a slot with a parked end are four; the channel has one decimal."""
    installation, _ = hung()
    tray = installation_to(installation, {})["trays"][0]
    assert tray["banks"] == [{"bank": 1, "slot_kind": "ribbon-12", "slots": 12, "used": 4}]
    assert (tray["storage_used_mm2"], tray["storage_mm2"]) == (118.1, 260)
    assert tray["parked"] == [{"cable": "A", "tube": 1, "ribbons": 2, "fibres": 0}]


def test_the_splices_of_a_tray_stand_by_slot() -> None:
    """Whatever the order in which they were laid."""
    installation, _ = hung()
    back = replace(installation, contents=replace(installation.contents, splices=installation.contents.splices[::-1]))
    slots = [splice["slot"] for splice in installation_to(back, {})["trays"][0]["splices"]]
    assert slots == [1, 2, 3]


def test_coordinates_are_told_together_or_not_at_all() -> None:
    """None where they are not known."""
    installation, _ = hung()
    assert "latitude" not in installation_to(installation, {})
    there = replace(installation, place=Place("x", "", 53.0, -8.25))
    document = installation_to(there, {})
    assert (document["latitude"], document["longitude"]) == (53, -8.25)
    assert place_from(document) == there.place


def test_a_visit_without_a_day_was_made_today() -> None:
    """And by nobody in particular."""
    today = date(2026, 5, 4)
    assert visit_said({}, today) == (today, "", "")
    assert visit_said({"on": "2026-03-09", "by": "Crew 3"}, today) == (date(2026, 3, 9), "Crew 3", "")


def test_a_plan_tells_the_revision_that_it_left() -> None:
    """That of the closure it was made for, or the next one where it was recorded as done."""
    assert planned_for_to(PlannedFor("a", 3)) == {"id": "a", "revision": 3}
    assert planned_for_to(PlannedFor("a", 3, 7)) == {"id": "a", "revision": 4, "visit": 7}


def test_every_entry_that_hangs_is_named() -> None:
    """Closure, trays, cables and sleeves."""
    change = one_more(hung()[0])
    assert entries_in(change.after.contents) == {
        "closures/dome-48", "trays/ribbon-12", "cables/flat-288", "cables/roll-288", "sleeves/rs-12",
    }  # fmt: skip
