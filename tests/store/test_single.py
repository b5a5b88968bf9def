"""Changing one catalogue entry."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from service.domain.faults import Refused
from service.store import Absent, AnyRevision, Exists, NotFound, Revision, Stale, Store, open_store
from tests import catalogue_documents as documents
from tests.store.plan_rows import new_plan


def test_an_entry_is_created_once(store: Store) -> None:
    """The first PUT makes revision 1, a second one that expects nothing there is told what is."""
    result = store.put_entry("trays", "r6", documents.tray(), Absent())
    assert (result.created, result.entry.revision) == (True, 1)
    with pytest.raises(Exists) as refused:
        store.put_entry("trays", "r6", documents.tray(pitch_mm=13), Absent())
    assert refused.value.revision == 1
    assert store.entry("trays", "r6").document == documents.tray()


def test_an_entry_is_replaced_by_who_has_seen_it(store: Store) -> None:
    """The revision that was read must still stand; the current one is told where it does not."""
    store.put_entry("trays", "r6", documents.tray(), Absent())
    result = store.put_entry("trays", "r6", documents.tray(pitch_mm=13), Revision(1))
    assert (result.created, result.entry.revision) == (False, 2)
    with pytest.raises(Stale) as refused:
        store.put_entry("trays", "r6", documents.tray(pitch_mm=14), Revision(1))
    assert refused.value.current == 2
    assert store.put_entry("trays", "r6", documents.tray(pitch_mm=15), AnyRevision()).entry.revision == 3
    assert store.put_entry("trays", "r6", documents.tray(pitch_mm=16), Revision(1, others=(3,))).entry.revision == 4


@pytest.mark.parametrize("expect", [Revision(1), AnyRevision()])
def test_what_is_not_there_cannot_be_replaced(store: Store, expect: Revision | AnyRevision) -> None:
    """An expectation of something there is not met by nothing."""
    with pytest.raises(NotFound):
        store.put_entry("trays", "r6", documents.tray(), expect)
    with pytest.raises(NotFound):
        store.delete_entry("trays", "r6", expect)
    assert store.catalogue_revision() == 0


def test_the_same_content_again_makes_no_new_revision(store: Store) -> None:
    """Neither the entry nor the catalogue moves, and members that say where it stands do not count."""
    store.put_entry("trays", "r6", documents.tray(), Absent())
    again = store.put_entry("trays", "r6", documents.tray(revision=12, retired=False), Revision(1))
    assert (again.created, again.entry.revision) == (False, 1)
    assert store.catalogue_revision() == 1


def test_every_change_is_one_catalogue_revision(store: Store) -> None:
    """Three changes, three catalogue revisions; a refused one counts nothing."""
    store.put_entry("trays", "r6", documents.tray(), Absent())
    store.put_entry("closures", "dome-24", documents.closure(), Absent())
    with pytest.raises(Refused):
        store.put_entry("closures", "dome-48", documents.closure("dome-48", trays=[{"tray": "x", "most": 1}]), Absent())
    store.delete_entry("closures", "dome-24", Revision(1))
    assert store.catalogue_revision() == 3
    assert store.entries("closures") == []


def test_a_code_in_the_document_that_is_not_the_address_is_refused(store: Store) -> None:
    """The fault points at the code; a document without a code takes the address's."""
    with pytest.raises(Refused) as refused:
        store.put_entry("trays", "r6", documents.tray("r7"), Absent())
    assert [(fault.pointer, fault.code) for fault in refused.value.faults] == [("/code", "mismatch")]
    nameless = {name: value for name, value in documents.tray().items() if name != "code"}
    assert store.put_entry("trays", "r6", nameless, Absent()).entry.document["code"] == "r6"


def test_references_are_checked_when_an_entry_is_put(store: Store) -> None:
    """All faults are told at once and nothing is written."""
    store.put_entry("methods", "flat-12", documents.method(), Absent())
    bad = documents.closure(trays=[{"tray": "x", "most": 1}, {"tray": "y", "most": 1}])
    with pytest.raises(Refused) as refused:
        store.put_entry("closures", "dome-24", bad, Absent())
    assert [fault.pointer for fault in refused.value.faults] == ["/trays/0/tray", "/trays/1/tray"]
    store.put_entry("cables", "flat-288", documents.cable(method="flat-12"), Absent())
    with pytest.raises(Refused) as refused:
        store.put_entry("methods", "flat-12", documents.method(ribbon_form="rollable"), Revision(1))
    assert [fault.pointer for fault in refused.value.faults] == ["/ribbon_form"]
    assert store.entries("closures") == []
    assert store.entry("methods", "flat-12").revision == 1


def test_an_entry_that_nothing_uses_is_removed(store: Store) -> None:
    """It is gone, and a removal with an old revision is refused."""
    store.put_entry("trays", "r6", documents.tray(), Absent())
    with pytest.raises(Stale):
        store.delete_entry("trays", "r6", Revision(2))
    assert store.delete_entry("trays", "r6", Revision(1)) == "removed"
    with pytest.raises(NotFound):
        store.entry("trays", "r6")


@pytest.mark.parametrize(("kind", "code"), [
    ("trays", "r6"), ("materials", "wipes"), ("methods", "flat-12"),
])  # fmt: skip
def test_an_entry_that_another_one_names_is_retired(store: Store, kind: str, code: str) -> None:
    """The entry stays to be read, as retired, and is no longer offered to plans."""
    store.put_catalogue(documents.whole(), AnyRevision())
    assert store.delete_entry(kind, code, Revision(1)) == "retired"
    entry = store.entry(kind, code)
    assert (entry.retired, entry.revision) == (True, 2)
    assert entry.whole()["retired"] is True
    snapshot = store.snapshot()
    assert code not in getattr(snapshot, kind)
    assert f"{kind}/{code}" in snapshot.retired
    assert store.delete_entry(kind, code, Revision(2)) == "retired"
    assert store.entry(kind, code).revision == 2


def test_an_entry_that_only_a_retired_one_names_is_retired_too(store: Store) -> None:
    """The retired closure still says which tray it takes, so the tray is not lost."""
    store.put_catalogue(documents.whole(), AnyRevision())
    snapshot = store.snapshot()
    store.add_plan(new_plan(snapshot), snapshot, ["closures/dome-24"])
    assert store.delete_entry("closures", "dome-24", AnyRevision()) == "retired"
    assert store.delete_entry("trays", "r6", AnyRevision()) == "retired"


def test_an_entry_that_a_plan_was_made_from_is_retired(store: Store) -> None:
    """Deleting the plan later does not make its entries forgettable; others are removed."""
    store.put_catalogue({"sleeves": [documents.sleeve(), documents.sleeve("rs-24")]}, AnyRevision())
    snapshot = store.snapshot()
    plan = new_plan(snapshot)
    store.add_plan(plan, snapshot, ["sleeves/rs-12"])
    store.delete_plan(plan.id)
    assert store.delete_entry("sleeves", "rs-12", AnyRevision()) == "retired"
    assert store.delete_entry("sleeves", "rs-24", AnyRevision()) == "removed"


def test_an_entry_removed_while_a_plan_was_made_from_it_is_retired_instead(store: Store) -> None:
    """A plan, or a takeoff of minutes, is made from a snapshot; what it uses is to be had for its order.

    What the entry names comes back with it, what neither is used nor named stays away.
    """
    store.put_catalogue(documents.whole(), AnyRevision())
    snapshot = store.snapshot()
    given = store.entry("closures", "dome-24").document
    store.put_catalogue({}, AnyRevision())
    store.add_plan(new_plan(snapshot), snapshot, ["closures/dome-24"])
    closure = store.entry("closures", "dome-24")
    assert (closure.retired, closure.revision, closure.document) == (True, 3, given)
    assert store.entry("trays", "r6").retired
    with pytest.raises(NotFound):
        store.entry("cables", "flat-288")
    assert "closures/dome-24" in store.snapshot().retired
    assert store.delete_entry("closures", "dome-24", AnyRevision()) == "retired"
    # Marked already: another plan changes nothing.
    revision = store.catalogue_revision()
    store.add_plan(new_plan(snapshot), snapshot, ["closures/dome-24", "trays/r6"])
    assert store.catalogue_revision() == revision


def test_a_retired_entry_can_come_back(store: Store) -> None:
    """A PUT without retired puts it to use again, as a new revision."""
    store.put_entry("trays", "r6", documents.tray(), Absent())
    assert store.put_entry("trays", "r6", documents.tray(retired=True), Revision(1)).entry.retired
    with pytest.raises(Refused) as refused:
        store.put_entry("closures", "dome-24", documents.closure(), Absent())
    assert refused.value.faults[0].code == "retired"
    back = store.put_entry("trays", "r6", documents.tray(), Revision(2)).entry
    assert (back.retired, back.revision) == (False, 3)
    store.put_entry("closures", "dome-24", documents.closure(), Absent())


def test_revisions_of_a_code_go_on_after_it_was_removed(store: Store) -> None:
    """A revision number never stands for two contents, so a cached one is never taken for another."""
    seen = []
    for pitch in (12, 13):
        seen.append(store.put_entry("trays", "r6", documents.tray(pitch_mm=pitch), Absent()).entry.revision)
        store.delete_entry("trays", "r6", AnyRevision())
    assert seen == [1, 3]


def test_an_entry_says_when_it_was_last_changed(url: str) -> None:
    """The time is the store's clock's, in UTC and with its zone, from either database."""
    moment = datetime(2026, 3, 29, 1, 30, 0, 123456, tzinfo=UTC)
    store = open_store(url, clock=lambda: moment)
    store.upgrade()
    store.put_entry("trays", "r6", documents.tray(), Absent())
    found = store.entry("trays", "r6").updated
    store.close()
    assert (found, found.tzinfo) == (moment, UTC)


def test_unknown_sections_and_impossible_codes_are_not_found(store: Store) -> None:
    """Text that no database can hold is simply not there."""
    for kind, code in (("tables", "x"), ("trays", "a\0b"), ("trays", "\ud800"), ("trays", "x" * 5000)):
        with pytest.raises(NotFound):
            store.entry(kind, code)
