"""The record of changes: written with every change, and with none that did not happen; never changed."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import pytest
from sqlalchemy import text

from service.domain.audit import OTHERS, Actor
from service.domain.order import Item
from service.store import AnyRevision, AuditFilter, Stale, Store, acts
from service.store.preconditions import Absent, Revision
from tests import catalogue_documents as documents
from tests.store.plan_rows import new_plan
from tests.store.takeoff_rows import received, started


@pytest.fixture(autouse=True)
def crew() -> Iterator[None]:
    """A crew acts in these tests, and nobody afterwards."""
    acts(Actor("Crew 4", "0" * 32))
    yield
    acts(None)


def recorded(store: Store, **which: object) -> list[tuple[object, ...]]:
    """What is on record, the oldest first."""
    found = store.audit.listed(500, None, AuditFilter(**which))  # type: ignore[arg-type]
    return [(each.operation, each.kind, each.item, each.before, each.after) for each in reversed(found)]


def test_every_change_of_the_catalogue_is_on_record_with_its_revisions(store: Store) -> None:
    """Put, changed, and removed; who did it and when stands beside it."""
    document = documents.whole()
    store.put_catalogue(document, AnyRevision())
    first = recorded(store)
    codes = [(kind, each["code"]) for kind in document for each in document[kind]]
    assert sorted((kind, item) for _, kind, item, *_ in first) == sorted(codes)
    assert {(operation, before, after) for operation, _, _, before, after in first} == {("put", None, 1)}
    sleeve = document["sleeves"][0]
    store.put_entry("sleeves", sleeve["code"], {**sleeve, "title": "Another"}, Revision(1))
    assert recorded(store)[len(first) :] == [("put", "sleeves", sleeve["code"], 1, 2)]
    entry = store.audit.listed(1, None, AuditFilter())[0]
    assert entry.by == Actor("Crew 4", "0" * 32)
    assert abs((entry.created - store._clock()).total_seconds()) < 60


def test_a_change_that_did_not_happen_is_not_on_record(store: Store) -> None:
    """Refused for its revision, or the same again: nothing is added."""
    document = documents.whole()
    store.put_catalogue(document, AnyRevision())
    before = recorded(store)
    sleeve = document["sleeves"][0]
    with pytest.raises(Stale):
        store.put_entry("sleeves", sleeve["code"], {**sleeve, "title": "Another"}, Revision(7))
    store.put_entry("sleeves", sleeve["code"], sleeve, Revision(1))
    store.put_catalogue(document, AnyRevision())
    assert recorded(store) == before


def test_stock_that_is_counted_and_tokens_are_on_record(store: Store) -> None:
    """With the code of the item and the id of the token, and nothing that is in it."""
    document = documents.whole()
    store.put_catalogue(document, AnyRevision())
    code = document["sleeves"][0]["code"]
    store.stock.put(Item("sleeve", code), Decimal(10), Absent())
    store.stock.put(Item("sleeve", code), Decimal(12), Revision(1))
    assert recorded(store, kinds=("stock",)) == [("count", "stock", code, None, 1), ("count", "stock", code, 1, 2)]
    team = store.access.team("default")
    token, shown = store.access.make(team, "Office", ("read",), store._clock())
    store.access.revoke(team, token.id, AnyRevision())
    assert recorded(store, item=token.id) == [
        ("make", "tokens", token.id, None, 1),
        ("revoke", "tokens", token.id, 1, 2),
    ]
    with store._engines.reading() as connection:
        assert shown.secret not in str(connection.execute(text("SELECT * FROM audit")).all())


def test_takeoffs_and_what_is_removed_of_plans_are_on_record_in_a_list_of_their_own(store: Store) -> None:
    """Begun, cancelled, removed, without revisions. A takeoff that never began is not on record, nor a plan made."""
    store.put_catalogue(documents.whole(), AnyRevision())
    plan = new_plan(store.snapshot())
    store.add_plan(plan, store.snapshot())
    store.delete_plan(plan.id)
    begun = started(store, 2)
    assert store.takeoffs.cancel(begun) and not store.takeoffs.cancel(begun)
    store.takeoffs.delete(begun)
    store.takeoffs.discard(received(store, 1))
    told = recorded(store, kinds=OTHERS)
    assert told == [
        ("remove", "plans", plan.id, None, None),
        *((each, "takeoffs", begun, None, None) for each in ("begin", "cancel", "remove")),
    ]
    assert not {kind for _, kind, *_ in recorded(store)} & set(OTHERS)


def test_what_is_on_record_is_of_one_team(store: Store) -> None:
    """Another team's changes are not in it."""
    north = store.for_team(store.access.made_team("north").id)
    north.put_catalogue(documents.whole(), AnyRevision())
    assert recorded(store) == []
    assert recorded(north)


@pytest.mark.parametrize("statement", ["UPDATE audit SET actor = 'nobody'", "DELETE FROM audit"])
def test_the_database_itself_refuses_to_change_the_record(store: Store, statement: str) -> None:
    """By whatever way a statement comes to it; what is there stays."""
    store.put_catalogue(documents.whole(), AnyRevision())
    before = recorded(store)
    with pytest.raises(Exception, match="never changed"), store._engines.writing() as connection:
        connection.execute(text(statement))
    assert recorded(store) == before


def test_the_record_is_read_in_pages_and_from_a_time_on(store: Store) -> None:
    """Each page goes on behind the last entry of the one before; ``since`` is in."""
    store.put_catalogue(documents.whole(), AnyRevision())
    whole = store.audit.listed(500, None, AuditFilter())
    first = store.audit.listed(3, None, AuditFilter())
    rest = store.audit.listed(500, (first[-1].created, first[-1].id), AuditFilter())
    assert first + rest == whole
    assert store.audit.listed(500, None, AuditFilter(since=whole[0].created)) != []
    assert store.audit.listed(500, None, AuditFilter(item="absent")) == []
