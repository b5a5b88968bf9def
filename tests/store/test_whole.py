"""Replacing the whole catalogue."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from service.domain.catalogue import KINDS
from service.domain.faults import Refused
from service.store import Absent, AnyRevision, CatalogueChange, Exists, Revision, Stale, Store
from tests import catalogue_documents as documents
from tests.store.plan_rows import new_plan

ALL = ("cables/flat-288", "closures/dome-24", "materials/wipes", "methods/flat-12", "sleeves/rs-12", "trays/r6")


def faults_of(store: Store, document: dict[str, Any]) -> list[tuple[str, str]]:
    with pytest.raises(Refused) as refused:
        store.put_catalogue(document, AnyRevision())
    return [(fault.pointer, fault.code) for fault in refused.value.faults]


def test_a_document_comes_back_with_its_revisions(store: Store) -> None:
    """What was put is what is got, section by section, each entry with the revision it is at."""
    change = store.put_catalogue(documents.whole(), Absent())
    assert change == CatalogueChange(1, added=ALL)
    document, revision = store.catalogue_document()
    assert revision == 1
    assert tuple(document) == KINDS
    assert document == {
        kind: [{**entry, "revision": 1} for entry in entries] for kind, entries in documents.whole().items()
    }


def test_what_was_got_can_be_put_back(store: Store) -> None:
    """Nothing changes, retired entries included, and the catalogue keeps its revision."""
    store.put_catalogue(documents.whole(), Absent())
    store.delete_entry("trays", "r6", AnyRevision())
    document, revision = store.catalogue_document()
    assert document["trays"][0]["retired"] is True
    assert store.put_catalogue(document, Revision(revision)) == CatalogueChange(revision, unchanged=ALL)
    assert store.catalogue_revision() == revision


def test_a_document_says_what_it_changes(store: Store) -> None:
    """Added, changed, unchanged, retired and removed entries are told apart and make one catalogue revision."""
    store.put_catalogue(documents.whole(), Absent())
    change = store.put_catalogue(
        documents.whole(
            sleeves=[documents.sleeve("rs-24")],
            trays=[documents.tray(pitch_mm=13)],
            materials=[documents.material(retired=True)],
        ),
        Revision(1),
    )
    # The closure names the material, which the document retires: allowed, for the closure is unchanged.
    assert change == CatalogueChange(
        2,
        added=("sleeves/rs-24",),
        changed=("trays/r6",),
        unchanged=("cables/flat-288", "closures/dome-24", "methods/flat-12"),
        retired=("materials/wipes",),
        removed=("sleeves/rs-12",),
    )
    assert store.entry("trays", "r6").revision == 2


def test_an_empty_document_keeps_what_plans_need_and_what_that_needs(store: Store) -> None:
    """The closure of a plan is retired, and with it the tray and the material that it names."""
    store.put_catalogue(documents.whole(), Absent())
    snapshot = store.snapshot()
    store.add_plan(new_plan(snapshot), snapshot, ["closures/dome-24"])
    change = store.put_catalogue({}, Revision(1))
    assert change.retired == ("closures/dome-24", "materials/wipes", "trays/r6")
    assert change.removed == ("cables/flat-288", "methods/flat-12", "sleeves/rs-12")
    assert store.put_catalogue({}, Revision(2)) == CatalogueChange(2, unchanged=change.retired)


def test_a_document_takes_effect_whole_or_not_at_all(store: Store) -> None:
    """One bad reference in the last section leaves every section as it was, all faults being told."""
    store.put_catalogue(documents.whole(), Absent())
    before = store.catalogue_document(), store.entries("trays")
    bad = documents.whole(
        trays=[documents.tray(pitch_mm=99), documents.tray("new")],
        cables=[documents.cable(method="none"), documents.cable("b", method="flat-12", ribbon_form="rollable")],
        closures=[documents.closure(trays=[{"tray": "gone", "most": 1}])],
    )
    assert faults_of(store, bad) == [
        ("/closures/0/trays/0/tray", "unknown_code"),
        ("/cables/0/method", "unknown_code"),
        ("/cables/1/method", "unsuitable"),
    ]
    assert (store.catalogue_document(), store.entries("trays")) == before


def test_a_failure_in_the_middle_of_writing_undoes_all(store: Store) -> None:
    """When the history refuses a row, the entries that were deleted just before are there again."""
    store.put_catalogue(documents.whole(), Absent())
    before = store.catalogue_document()
    with store._engines.migrating() as connection:
        connection.execute(text("CREATE UNIQUE INDEX one_removal ON entry_revisions (removed) WHERE removed"))
    with pytest.raises(IntegrityError):
        store.put_catalogue({}, Revision(1))
    assert store.catalogue_document() == before
    assert store.snapshot_as_of(1) == store.snapshot()


def test_an_unchanged_entry_cannot_name_what_the_document_leaves_out(store: Store) -> None:
    """Leaving out a tray that a closure of the same document takes is a fault of that document."""
    store.put_catalogue(documents.whole(), Absent())
    assert faults_of(store, documents.whole(trays=[])) == [("/closures/0/trays/0/tray", "unknown_code")]


def test_a_code_twice_in_a_section_is_refused(store: Store) -> None:
    """Neither of the two wins in silence."""
    assert faults_of(store, {"trays": [documents.tray(), documents.tray(pitch_mm=9)]}) == [
        ("/trays/1/code", "duplicate")
    ]


def test_a_new_closure_cannot_name_a_tray_that_the_document_retires(store: Store) -> None:
    """Everything in a new catalogue is new. A closure that is retired together with its tray is no fault."""
    retired = [documents.tray(retired=True)]
    assert faults_of(store, {"trays": retired, "closures": [documents.closure()]}) == [
        ("/closures/0/trays/0/tray", "retired")
    ]
    store.put_catalogue({"trays": retired, "closures": [documents.closure(retired=True)]}, Absent())
    assert store.snapshot().retired == {"trays/r6", "closures/dome-24"}


def test_the_whole_catalogue_is_replaced_by_who_has_seen_it(store: Store) -> None:
    """The catalogue's own revision must stand; Absent holds only while nothing was ever written."""
    with pytest.raises(Stale):
        store.put_catalogue(documents.whole(), Revision(1))
    store.put_catalogue(documents.whole(), Revision(0))
    with pytest.raises(Exists):
        store.put_catalogue({}, Absent())
    store.put_catalogue({}, Revision(1))
    with pytest.raises(Stale) as refused:
        store.put_catalogue(documents.whole(), Revision(1))
    assert refused.value.current == 2
    with pytest.raises(Exists):
        store.put_catalogue(documents.whole(), Absent())


def test_a_large_catalogue_is_replaced_in_one_go(store: Store) -> None:
    """Two thousand entries are put, changed and dropped as one revision each."""
    first = {"trays": [documents.tray(f"t{n}") for n in range(2000)]}
    assert len(store.put_catalogue(first, Absent()).added) == 2000
    second = {"trays": [documents.tray(f"t{n}", pitch_mm=13) for n in range(1000)]}
    change = store.put_catalogue(second, Revision(1))
    assert (change.revision, len(change.changed), len(change.removed)) == (2, 1000, 1000)
    assert len(store.snapshot().trays) == 1000
    assert store.snapshot_as_of(1).trays["t1999"].pitch_mm == 12
