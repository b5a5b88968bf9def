"""One answer a key."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

from service.store import AnyRevision, Store, StoredAnswer, open_store
from tests import catalogue_documents as documents
from tests.store.plan_rows import new_key, new_plan


def test_a_key_keeps_the_answer_that_was_given_first(store: Store) -> None:
    """The second plan under the key is not stored; its sender gets the first one's answer, body and all."""
    snapshot = store.snapshot()
    first, second = new_plan(snapshot), new_plan(snapshot)
    key = new_key(body='{"ä":1}'.encode())
    assert store.idempotent("k-1") is None
    assert store.add_plan(first, snapshot, idempotency=key) is None
    expected = StoredAnswer("h-1", 201, first.id, '{"ä":1}'.encode(), key.created, key.expires)
    assert store.add_plan(second, snapshot, idempotency=new_key(request_hash="h-2")) == expected
    assert store.idempotent("k-1") == expected
    assert [plan.id for plan in store.plans()] == [first.id]


def test_an_answer_without_a_body_names_its_plan(store: Store) -> None:
    """The caller makes the body again from the plan."""
    snapshot = store.snapshot()
    plan = new_plan(snapshot)
    store.add_plan(plan, snapshot, idempotency=new_key())
    found = store.idempotent("k-1")
    assert found is not None
    assert (found.body, found.plan_id) == (None, plan.id)


def test_keys_do_not_stand_in_for_each_other(store: Store) -> None:
    """Two keys, two plans; impossible keys have no answer."""
    snapshot = store.snapshot()
    for key in ("a", "A"):
        assert store.add_plan(new_plan(snapshot), snapshot, idempotency=new_key(key)) is None
    assert len(store.plans()) == 2
    assert store.idempotent("\0") is store.idempotent("\ud800") is store.idempotent("b") is None


def test_twenty_requests_with_one_key_make_one_plan(store: Store) -> None:
    """All at once: one stores, nineteen get that one's answer."""
    snapshot = store.snapshot()
    together = threading.Barrier(20)

    def send(_number: int) -> StoredAnswer | None:
        plan = new_plan(snapshot)
        together.wait()
        return store.add_plan(plan, snapshot, idempotency=new_key(body=plan.id.encode()))

    with ThreadPoolExecutor(20) as pool:
        answers = list(pool.map(send, range(20)))
    [plan] = store.plans()
    assert answers.count(None) == 1
    assert {answer.body for answer in answers if answer is not None} == {plan.id.encode()}


def test_twenty_requests_with_twenty_keys_make_twenty_plans(store: Store) -> None:
    """Nobody is lost in the queue, and the entries they use are marked without a deadlock."""
    trays = [documents.tray(f"t{n}") for n in range(6)]
    store.put_catalogue({"trays": trays}, AnyRevision())
    snapshot = store.snapshot()
    together = threading.Barrier(20)

    def send(number: int) -> StoredAnswer | None:
        uses = [f"trays/t{n}" for n in range(6)][:: 1 if number % 2 else -1]
        together.wait()
        return store.add_plan(new_plan(snapshot), snapshot, uses, new_key(f"k{number}"))

    with ThreadPoolExecutor(20) as pool:
        assert list(pool.map(send, range(20))) == [None] * 20
    assert len(store.plans()) == 20
    assert store.delete_entry("trays", "t3", AnyRevision()) == "retired"


def test_an_expired_key_can_be_used_again(store: Store) -> None:
    """Its old answer is no longer given, and the new one takes its place."""
    snapshot = store.snapshot()
    old = datetime.now(UTC) - timedelta(days=2)
    store.add_plan(new_plan(snapshot), snapshot, idempotency=new_key(created=old, expires=old + timedelta(days=1)))
    assert store.idempotent("k-1") is None
    plan = new_plan(snapshot)
    assert store.add_plan(plan, snapshot, idempotency=new_key(request_hash="h-2")) is None
    found = store.idempotent("k-1")
    assert found is not None
    assert (found.plan_id, found.request_hash) == (plan.id, "h-2")


def test_expired_keys_are_forgotten_and_others_kept(url: str) -> None:
    """The plans made under them stay."""
    now = datetime(2026, 6, 1, tzinfo=UTC)
    store = open_store(url, clock=lambda: now)
    store.upgrade()
    snapshot = store.snapshot()
    for name, age in (("old", 25), ("new", 23)):
        made = now - timedelta(hours=age)
        key = new_key(name, created=made, expires=made + timedelta(days=1))
        store.add_plan(new_plan(snapshot), snapshot, idempotency=key)
    assert store.forget_expired() == 1
    assert store.idempotent("new") is not None
    assert len(store.plans()) == 2
    store.close()


def test_expired_keys_are_tidied_away_in_passing(store: Store) -> None:
    """A process that stores plans deletes them itself, once an hour at most."""
    snapshot = store.snapshot()
    start = datetime(2026, 6, 1, tzinfo=UTC)

    def send(name: str, minutes: int) -> None:
        made = start + timedelta(minutes=minutes)
        key = new_key(name, created=made, expires=made + timedelta(minutes=10))
        store.add_plan(new_plan(snapshot), snapshot, idempotency=key)

    for name, minutes in (("a", 0), ("b", 5), ("c", 55), ("d", 61)):
        send(name, minutes)
    with store._engines.reading() as connection:
        kept = set(connection.exec_driver_sql("SELECT key FROM idempotency").scalars())
    assert kept == {"c", "d"}


def test_a_plan_that_cannot_be_stored_leaves_its_key_free(store: Store) -> None:
    """Key and plan are written together or not at all."""
    snapshot = store.snapshot()
    plan = new_plan(snapshot)
    store.add_plan(plan, snapshot)
    try:
        store.add_plan(plan, snapshot, idempotency=new_key())
    except Exception as error:
        assert "IntegrityError" in type(error).__name__
    else:
        raise AssertionError("the same id was stored twice")
    assert store.idempotent("k-1") is None
    assert store.add_plan(new_plan(snapshot), snapshot, idempotency=new_key()) is None
