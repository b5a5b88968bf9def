"""Hung closures in the database: hung once, changed by visits under their revision, found again."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select, update

from service.domain.distance import Position
from service.domain.installation import Place
from service.domain.installation_summary import PlannedFor, summary_of
from service.domain.plan import ParkedEnds
from service.domain.records import SpliceRecord
from service.store import (
    AdditionPlan,
    AnyRevision,
    Changed,
    HungAlready,
    InstallationFilter,
    Near,
    NotFound,
    Revision,
    Stale,
    Store,
    StoredAnswer,
)
from service.store.installations import facade, rows
from service.store.tables import AdditionPlanRow
from tests.catalogue_documents import whole
from tests.hung_closures import START, an_id, contents, hung, one_more
from tests.store.plan_rows import new_key, new_plan


def test_a_hung_closure_comes_back_as_it_was(store: Store) -> None:
    """Every member of contents, place and visit, figures to the last digit."""
    installation, visit = hung(an_id(), place="Quay", latitude=53.123456789, longitude=-8.5)
    assert store.installations.hang(installation, visit) is None
    assert store.installations.get(installation.id) == installation
    assert store.installations.visits(installation.id) == [visit]
    assert store.installations.listed() == [summary_of(installation)]


def test_a_visit_changes_the_closure_and_stays_on_record(store: Store) -> None:
    """The newest visit stands first; the splices that it laid are told by their numbers."""
    installation, first = hung()
    store.installations.hang(installation, first)
    change = one_more(installation, "Crew 1")
    store.installations.change(change, Revision(1))
    assert store.installations.get(installation.id) == change.after
    assert store.installations.visits(installation.id) == [change.visit, first]
    assert (change.visit.number, change.visit.splices) == (2, (4,))


def test_visits_come_page_by_page(store: Store) -> None:
    """Each page goes on behind the number of the last one's last visit."""
    installation, first = hung()
    store.installations.hang(installation, first)
    for _ in range(4):
        store.installations.change(one_more(store.installations.get(installation.id)))
    numbers = [[each.number for each in store.installations.visits(installation.id, 2, n)] for n in (None, 4, 2)]
    assert numbers == [[5, 4], [3, 2], [1]]


def test_of_two_visits_worked_out_from_one_revision_the_second_is_refused(store: Store) -> None:
    """Nothing of it is stored; a caller that named the revision is told that it is stale."""
    installation, first = hung()
    store.installations.hang(installation, first)
    store.installations.change(one_more(installation, "quick"))
    with pytest.raises(Changed) as changed:
        store.installations.change(one_more(installation, "slow"))
    with pytest.raises(Stale):
        store.installations.change(one_more(installation, "slow"), Revision(1))
    assert changed.value.current == 2
    assert [visit.by for visit in store.installations.visits(installation.id)] == ["quick", "Crew 3"]


def test_a_change_of_what_was_removed_says_so(store: Store) -> None:
    """It was there when it was read, and is not any more."""
    installation, first = hung()
    store.installations.hang(installation, first)
    store.installations.delete(installation.id, Revision(1))
    with pytest.raises(NotFound):
        store.installations.change(one_more(installation))
    with pytest.raises(NotFound):
        store.installations.visits(installation.id)


def test_splice_records_go_with_their_closure(store: Store) -> None:
    """They are of it; those of another one stay."""
    installation, first = hung()
    store.installations.hang(installation, first)
    records = [SpliceRecord(id, 1, "flat", 12, 1, START) for id in (installation.id, an_id())]
    store.records.add(records)
    store.installations.delete(installation.id, Revision(1))
    assert store.records.of(installation.id) == []
    assert store.records.of(records[1].installation) == records[1:]


def test_a_plan_hangs_once_unless_it_is_to_hang_again(store: Store) -> None:
    """The refusal names the closure that hangs by it; removed, it makes room."""
    plan = an_id()
    first, again = hung(plan), hung(plan)
    store.installations.hang(*first)
    with pytest.raises(HungAlready) as refusal:
        store.installations.hang(*again)
    assert refusal.value.installation == first[0].id
    store.installations.hang(*again, again=True)
    for installation, _ in (first, again):
        store.installations.delete(installation.id, AnyRevision())
    assert store.installations.hang(*hung(plan)) is None


def test_what_hangs_can_be_retired_but_not_removed(store: Store) -> None:
    """Closure, tray, cables and sleeve of a hung closure stay on record, whatever was stored by a plan."""
    store.put_catalogue(whole(), AnyRevision())
    document, _ = store.catalogue_document()
    names = {kind: document[kind][0]["code"] for kind in ("closures", "trays", "cables", "sleeves")}
    inside = contents(1)
    inside = replace(
        inside,
        closure=names["closures"],
        cables=tuple(replace(cable, cable=names["cables"]) for cable in inside.cables),
        trays=tuple(replace(tray, tray=names["trays"]) for tray in inside.trays),
        splices=tuple(replace(splice, sleeve=names["sleeves"]) for splice in inside.splices),
    )
    store.installations.hang(*hung(contents=inside))
    found = {kind: store.delete_entry(kind, names[kind], AnyRevision()) for kind in ("cables", "closures")}
    found |= {kind: store.delete_entry(kind, names[kind], AnyRevision()) for kind in ("trays", "sleeves")}
    assert set(found.values()) == {"retired"}


def test_a_place_is_changed_under_its_revision(store: Store) -> None:
    """The same place again makes no new revision; a stale caller is refused; visits are not touched."""
    installation, first = hung()
    store.installations.hang(installation, first)
    place = Place("Ferrow Lane, handhole 8", "by the kerb", 53.5, 8.5)
    assert store.installations.rename(installation.id, place, Revision(1)).revision == 2
    assert store.installations.rename(installation.id, place, Revision(2)).revision == 2
    with pytest.raises(Stale):
        store.installations.rename(installation.id, installation.place, Revision(1))
    assert store.installations.get(installation.id) == replace(installation, place=place, revision=2)
    assert store.installations.visits(installation.id) == [first]


def test_a_change_made_from_before_the_place_was_changed_is_refused(store: Store) -> None:
    """Every change counts, so no change writes over one that it has not seen."""
    installation, first = hung()
    store.installations.hang(installation, first)
    store.installations.rename(installation.id, Place("Elsewhere"), AnyRevision())
    with pytest.raises(Changed):
        store.installations.change(one_more(installation))
    assert store.installations.get(installation.id).place.name == "Elsewhere"


def test_closures_are_found_by_name_place_and_model(store: Store) -> None:
    """A part of name or place in any case; what a pattern of SQL would mean is meant as it is written."""
    quay = hung(name="100% Quay", place="HAFENSTRAẞE")
    row = hung(name="Tollen Row", contents=replace(contents(), closure="dome-72"))
    for each in (quay, row):
        store.installations.hang(*each)

    def found(**which: Any) -> list[str]:
        return [each.name for each in store.installations.listed(which=InstallationFilter(**which))]

    assert found() == ["Tollen Row", "100% Quay"]
    assert found(name="hafenstrasse") == found(name="% q") == ["100% Quay"]
    assert found(closure="dome-72") == ["Tollen Row"]
    assert found(closure="dome-48", name="toll") == found(name="\0") == []


def test_closures_are_found_by_how_near_they_are(store: Store) -> None:
    """Quarter of a degree of latitude is 27.8 km anywhere; over the date line too, and none without coordinates."""
    places = {"here": (10.0, 179.9), "north": (10.25, 179.9), "over the line": (10.0, -179.9), "far": (10.0, 100.0)}
    for name, (latitude, longitude) in places.items():
        store.installations.hang(*hung(name=name, latitude=latitude, longitude=longitude))
    store.installations.hang(*hung(name="unknown"))

    def within(km: float, limit: int = 100) -> list[str]:
        which = InstallationFilter(near=Near(Position(10.0, 179.9), km))
        return [each.name for each in store.installations.listed(limit, None, which)]

    assert within(1) == ["here"]
    assert within(27.7) == ["over the line", "here"]
    assert within(27.9) == ["over the line", "north", "here"]
    assert within(27.9, 2) == ["over the line", "north"]


def test_a_list_goes_on_where_a_page_ended(store: Store) -> None:
    """Closures recorded in the same moment are told apart by their ids."""
    made = [hung(name=f"{number}", created=START) for number in range(5)]
    for each in made:
        store.installations.hang(*each)
    names, after = [], None
    while page := store.installations.listed(2, after):
        names += [each.name for each in page]
        after = page[-1].created, page[-1].id
    assert names == ["4", "3", "2", "1", "0"]


def test_a_request_sent_again_hangs_one_closure(store: Store) -> None:
    """The second gets the answer that the first one's key was stored with."""
    first, again = hung(), hung()
    assert store.installations.hang(*first, idempotency=new_key(body=b'{"it":"hangs"}')) is None
    answer = store.installations.hang(*again, idempotency=new_key(body=b"other"))
    assert isinstance(answer, StoredAnswer)
    assert (answer.plan_id, answer.body) == (first[0].id, b'{"it":"hangs"}')
    assert [each.id for each in store.installations.listed()] == [first[0].id]


def test_a_plan_into_a_closure_keeps_what_lay_there(store: Store) -> None:
    """The splices of then stay with the plan when the closure changes or goes, and go with the plan."""
    installation, first = hung()
    store.installations.hang(installation, first)
    plan = new_plan(store.snapshot())
    store.installations.keep_plan(AdditionPlan(plan, installation, frozenset()))
    assert store.plan(plan.id).planned_for == PlannedFor(installation.id, 1)
    store.installations.change(one_more(installation))
    store.installations.delete(installation.id, AnyRevision())
    assert store.installations.lying(plan.id) == installation.contents.splices
    assert store.installations.parked(plan.id) == ((1, ParkedEnds("A", 1, 2, 0)),)
    store.delete_plan(plan.id)
    assert store.installations.lying(plan.id) == store.installations.parked(plan.id) == ()
    with pytest.raises(NotFound):
        store.plan(plan.id)


def test_a_plan_of_earlier_days_has_no_parked_ends_noted(store: Store) -> None:
    """Stored before parked ends were noted, it has its splices, and its sheet names no parked end."""
    installation, first = hung()
    store.installations.hang(installation, first)
    plan = new_plan(store.snapshot())
    store.installations.keep_plan(AdditionPlan(plan, installation, frozenset()))
    table = AdditionPlanRow.__table__
    with store.installations._engines.writing() as connection:
        document = json.loads(connection.scalars(select(table.c.lying).where(table.c.plan_id == plan.id)).one())
        del document["parked"]
        connection.execute(update(AdditionPlanRow).values(lying=json.dumps(document)))
    assert store.installations.lying(plan.id) == installation.contents.splices
    assert store.installations.parked(plan.id) == ()


def test_a_plan_is_stored_and_recorded_as_done_together(store: Store) -> None:
    """The plan says which visit recorded it, and its revision is the one that recording made."""
    installation, first = hung()
    store.installations.hang(installation, first)
    plan, change = new_plan(store.snapshot()), one_more(installation)
    store.installations.keep_plan(AdditionPlan(plan, installation, frozenset()), change)
    planned = store.plan(plan.id).planned_for
    assert planned == PlannedFor(installation.id, 1, 2)
    assert planned.revision_now == store.installations.get(installation.id).revision == 2


def test_a_plan_that_was_kept_is_carried_out_once(store: Store) -> None:
    """The visit and the note that it recorded the plan are one; a plan recorded before, or gone, changes nothing."""
    installation, first = hung()
    store.installations.hang(installation, first)
    plan = new_plan(store.snapshot())
    store.installations.keep_plan(AdditionPlan(plan, installation, frozenset()))
    renamed = store.installations.rename(installation.id, Place("7a"), AnyRevision())
    change = one_more(renamed)
    assert store.installations.carry_out(plan.id, change, Revision(2)) is None
    assert store.plan(plan.id).planned_for == PlannedFor(installation.id, 2, 2)
    for id in (plan.id, an_id(), "\0"):
        with pytest.raises(NotFound):
            store.installations.carry_out(id, one_more(change.after))
    assert store.installations.get(installation.id) == change.after
    assert len(store.installations.visits(installation.id)) == 2


def test_a_plan_worked_out_on_what_has_changed_is_not_stored(store: Store) -> None:
    """Neither kept nor recorded: it would put splices where others lie."""
    installation, first = hung()
    store.installations.hang(installation, first)
    store.installations.change(one_more(installation))
    for change in (None, one_more(installation)):
        addition = AdditionPlan(new_plan(store.snapshot()), installation, frozenset())
        with pytest.raises(Changed):
            store.installations.keep_plan(addition, change)
        with pytest.raises(Stale):
            store.installations.keep_plan(addition, change, Revision(1))
    assert store.plans() == []
    assert store.installations.get(installation.id).revision == 2


def _broken(*args: Any, **named: Any) -> None:
    raise OSError("the power went")


BETWEEN: dict[str, Callable[[pytest.MonkeyPatch], None]] = {
    "before the visit": lambda patch: patch.setattr(rows, "_add_visit", _broken),
    "before the entries are marked": lambda patch: patch.setattr(facade.usage, "mark_used", _broken),
    "before the plan is noted": lambda patch: patch.setattr(facade.addition_plans, "add", _broken),
}
"""What breaks between two statements of recording an addition."""


@pytest.mark.parametrize("place", BETWEEN)
def test_what_breaks_in_the_middle_leaves_nothing_half_written(
    store: Store, monkeypatch: pytest.MonkeyPatch, place: str
) -> None:
    """Plan, closure, visit and key are all there or none: the same request goes through afterwards."""
    installation, first = hung()
    store.installations.hang(installation, first)
    plan, change, key = new_plan(store.snapshot()), one_more(installation), new_key()
    addition = AdditionPlan(plan, installation, frozenset())
    with monkeypatch.context() as patch:
        BETWEEN[place](patch)
        with pytest.raises(OSError, match="the power went"):
            store.installations.keep_plan(addition, change, None, key)
    assert store.installations.get(installation.id) == installation
    assert store.installations.visits(installation.id) == [first]
    assert (store.plans(), store.idempotent(key.key)) == ([], None)
    assert store.installations.keep_plan(addition, change, None, key) is None
    assert store.installations.get(installation.id) == change.after


@pytest.mark.parametrize("bad", ["\0", "\ud800", "absent"])
def test_ids_that_no_database_can_hold_are_not_found(store: Store, bad: str) -> None:
    """They are asked for and answered like any that is not there."""
    with pytest.raises(NotFound):
        store.installations.get(bad)
    with pytest.raises(NotFound):
        store.installations.delete(bad, AnyRevision())
    assert store.installations.lying(bad) == ()
    assert store.installations.listed(which=InstallationFilter(closure=bad)) == []


def test_a_key_that_has_expired_is_free_again(store: Store) -> None:
    """Kept for a day, as every key."""
    first, again = hung(), hung()
    old = new_key()
    store.installations.hang(*first, idempotency=replace(old, expires=old.created - timedelta(seconds=1)))
    assert store.installations.hang(*again, idempotency=old) is None
