"""The catalogue as one object, now and as it was."""

from __future__ import annotations

import pickle
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.documents.catalogue import catalogue_from
from service.domain.catalogue import KINDS, Catalogue
from service.store import Absent, AnyRevision, NotFound, Snapshot, Store, open_store
from tests import catalogue_documents as documents


def same(one: Catalogue, other: Catalogue) -> bool:
    return all(getattr(one, name) == getattr(other, name) for name in (*KINDS, "revisions", "retired"))


def test_a_snapshot_is_one_object_until_something_changes(store: Store) -> None:
    """Asked again it is the very same; after a change it is another, and the first is as it was."""
    empty = store.snapshot()
    assert empty == Snapshot()
    store.put_catalogue(documents.whole(), AnyRevision())
    full = store.snapshot()
    assert store.snapshot() is full
    assert same(full, catalogue_from(documents.whole()))
    store.put_entry("trays", "r6", documents.tray(pitch_mm=13), AnyRevision())
    assert store.snapshot().trays["r6"].pitch_mm == 13
    assert full.trays["r6"].pitch_mm == 12
    assert (empty.catalogue_revision, full.catalogue_revision) == (0, 1)


def test_another_process_sees_a_change_at_its_next_question(store: Store, url: str) -> None:
    """Two stores on one database: what one writes, the other's next snapshot has."""
    other = open_store(url)
    assert other.snapshot().catalogue_revision == 0
    store.put_catalogue(documents.whole(), AnyRevision())
    assert same(other.snapshot(), store.snapshot())
    other.close()


def test_a_snapshot_names_the_revisions_that_plans_are_made_from(store: Store) -> None:
    """Each entry with the revision it is at, retired ones too."""
    store.put_catalogue(documents.whole(), AnyRevision())
    store.put_entry("sleeves", "rs-12", documents.sleeve(pack_of=50), AnyRevision())
    store.delete_entry("trays", "r6", AnyRevision())
    snapshot = store.snapshot()
    assert snapshot.revision("sleeves", "rs-12") == 2
    assert snapshot.revision("trays", "r6") == 2
    assert snapshot.revision("cables", "flat-288") == 1
    assert store.snapshot_as_of(1).revision("sleeves", "rs-12") == 1


def test_the_catalogue_can_be_had_as_it_was(store: Store) -> None:
    """At each catalogue revision: with what stood then, retired then, and removed since."""
    store.put_entry("trays", "r6", documents.tray(), Absent())
    store.put_entry("closures", "dome-24", documents.closure(), Absent())
    store.put_entry("trays", "r6", documents.tray(pitch_mm=13), AnyRevision())
    store.delete_entry("trays", "r6", AnyRevision())
    store.delete_entry("closures", "dome-24", AnyRevision())
    told = []
    for revision in range(6):
        then = store.snapshot_as_of(revision)
        assert then.catalogue_revision == revision
        pitch = then.trays["r6"].pitch_mm if "r6" in then.trays else None
        told.append((pitch, "dome-24" in then.closures, "trays/r6" in then.retired))
    assert told == [
        (None, False, False),
        (12, False, False),
        (12, True, False),
        (13, True, False),
        (None, True, True),
        (None, False, True),
    ]


def test_a_revision_to_come_is_not_found(store: Store) -> None:
    """The catalogue cannot be had as it will be, nor before it began."""
    for revision in (1, -1):
        with pytest.raises(NotFound):
            store.snapshot_as_of(revision)


def test_a_snapshot_can_be_sent_to_another_process(store: Store) -> None:
    """Workers get it pickled."""
    store.put_catalogue(documents.whole(), AnyRevision())
    snapshot = store.snapshot()
    assert pickle.loads(pickle.dumps(snapshot)) == snapshot


_codes = st.sampled_from(["a", "b", "c"])
_steps = st.lists(
    st.one_of(
        st.tuples(st.just("put"), _codes, st.integers(1, 4), st.booleans()),
        st.tuples(st.just("delete"), _codes),
        st.tuples(st.just("replace"), st.dictionaries(_codes, st.tuples(st.integers(1, 4), st.booleans()))),
        st.tuples(st.just("look")),
    ),
    max_size=14,
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=_steps)
def test_whatever_happens_a_snapshot_is_the_catalogue_document_and_its_past_stays(
    sqlite_store: Store, steps: list[Any]
) -> None:
    """After random changes, snapshots say what the catalogue documents said, now and at every earlier revision."""
    store = sqlite_store
    store.downgrade("base")
    store.upgrade()
    past: list[Catalogue] = [store.snapshot()]
    for step in steps:
        before = store.catalogue_revision()
        if step[0] == "put":
            document = documents.tray(step[1], pitch_mm=step[2], retired=step[3])
            store.put_entry("trays", step[1], document, AnyRevision() if _there(store, step[1]) else Absent())
        elif step[0] == "delete" and _there(store, step[1]):
            store.delete_entry("trays", step[1], AnyRevision())
        elif step[0] == "replace":
            trays = [documents.tray(code, pitch_mm=pitch, retired=old) for code, (pitch, old) in step[1].items()]
            store.put_catalogue({"trays": trays}, AnyRevision())
        elif step[0] == "look":
            store.snapshot()
        document, revision = store.catalogue_document()
        assert revision - before in (0, 1)
        if revision > before:
            past.append(catalogue_from(document))
    assert same(store.snapshot(), past[-1])
    for revision, then in enumerate(past):
        assert same(store.snapshot_as_of(revision), then)


def _there(store: Store, code: str) -> bool:
    return any(entry.code == code for entry in store.entries("trays"))
