"""Stored plans."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from service.store import NotFound, PlanSummary, Snapshot, Store
from tests.store.plan_rows import START, new_plan


def added(store: Store, **members: object) -> str:
    snapshot = store.snapshot()
    plan = new_plan(snapshot, **members)
    assert store.add_plan(plan, snapshot) is None
    return plan.id


def ids(found: list[PlanSummary]) -> list[str]:
    return [plan.id for plan in found]


def test_a_plan_comes_back_byte_for_byte(store: Store) -> None:
    """Request and answer as they were written, whatever alphabet, blanks and escapes are in them."""
    snapshot = store.snapshot()
    answer = '{"a": "\\u0000 é 𝄞 \\"", "n":1.50,  "z":[]}\n'.encode()
    plan = new_plan(snapshot, answer=answer, request=b'{ "name":"x" }')
    store.add_plan(plan, snapshot)
    assert store.plan(plan.id) == plan


def test_a_plan_that_does_not_fit_is_stored_too(store: Store) -> None:
    """It has no closure, no trays and no proof."""
    snapshot = store.snapshot()
    plan = new_plan(snapshot, fits=False, closure=None, trays=None, optimal=None)
    store.add_plan(plan, snapshot)
    assert store.plan(plan.id) == plan


def test_a_time_keeps_its_moment_to_the_microsecond(store: Store) -> None:
    """Given in another zone it comes back in UTC, the same moment."""
    moment = datetime(2026, 10, 25, 2, 30, 0, 999999, tzinfo=timezone(timedelta(hours=2)))
    found = store.plan(added(store, created=moment)).created
    assert (found, found.utcoffset()) == (moment, timedelta(0))


def test_a_time_without_a_zone_is_refused(store: Store) -> None:
    """Nobody knows what moment it means."""
    with pytest.raises(Exception, match="needs its time zone"):
        added(store, created=datetime(2026, 1, 1))
    assert store.plans() == []


def test_a_plan_belongs_to_the_snapshot_it_was_made_from(store: Store) -> None:
    """A plan that names another catalogue revision than its snapshot's is a mistake of the program."""
    with pytest.raises(ValueError, match="another catalogue revision"):
        store.add_plan(new_plan(store.snapshot()), Snapshot(catalogue_revision=4))


def test_plans_are_listed_the_newest_first(store: Store) -> None:
    """Plans of the same moment come in the order of their ids, backwards; the list carries no request or answer."""
    first = added(store, created=START)
    twins = sorted([added(store, created=START + timedelta(seconds=5)) for _ in range(3)], reverse=True)
    last = added(store, created=START + timedelta(seconds=9))
    assert ids(store.plans()) == [last, *twins, first]
    assert not hasattr(store.plans()[0], "answer")


def test_pages_of_plans_have_no_gaps_and_no_repeats(store: Store) -> None:
    """Even where the page ends between plans of one moment, and where new plans come in meanwhile."""
    given = [added(store, created=START + timedelta(seconds=n // 3)) for n in range(10)]
    seen: list[str] = []
    after = None
    while page := store.plans(limit=2, after=after):
        seen += ids(page)
        after = (page[-1].created, page[-1].id)
        added(store, created=START + timedelta(days=1))
    assert len(seen) == len(set(seen)) == len(given)
    assert set(seen) == set(given)


def test_plans_are_found_by_closure_fit_name_and_time(store: Store) -> None:
    """Each filter alone, and together; the upper end of the time is out."""
    a = added(store, closure="dome-24", name="Große Gasse 1", created=START)
    b = added(store, closure="dome-48", name="Ferrow Lane 50%", created=START + timedelta(hours=1))
    c = added(store, closure=None, fits=False, trays=None, name="", created=START + timedelta(hours=2))
    assert ids(store.plans(closure="dome-24")) == [a]
    assert ids(store.plans(fits=True)) == [b, a]
    assert ids(store.plans(fits=False)) == [c]
    assert ids(store.plans(name="GROSSE")) == [a]
    assert ids(store.plans(name="%")) == [b]
    assert ids(store.plans(created_from=START + timedelta(hours=1))) == [c, b]
    assert ids(store.plans(created_to=START + timedelta(hours=1))) == [a]
    assert ids(store.plans(fits=True, created_from=START + timedelta(minutes=1))) == [b]
    assert ids(store.plans(name="\0")) == ids(store.plans(closure="\ud800")) == []


def test_a_deleted_plan_is_gone(store: Store) -> None:
    """It cannot be read or deleted again; impossible ids are simply not there."""
    plan_id = added(store)
    store.delete_plan(plan_id)
    for gone in (plan_id, "", "\0", "\ud800"):
        with pytest.raises(NotFound):
            store.plan(gone)
        with pytest.raises(NotFound):
            store.delete_plan(gone)


def test_all_ids_are_gone_through_once(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """In their own order and over several reads, while plans are deleted on the way."""
    monkeypatch.setattr("service.store.store._IDS_READ", 3)
    given = sorted(added(store) for _ in range(8))
    seen = []
    for plan_id in store.plan_ids():
        seen.append(plan_id)
        store.delete_plan(plan_id)
    assert seen == given
    assert list(store.plan_ids()) == []


def test_the_summary_says_when_and_by_what_it_was_made(store: Store) -> None:
    """Catalogue revision and version are in the list, so that old plans can be told apart."""
    added(store, created=datetime(2026, 1, 1, tzinfo=UTC), version="0.9.9")
    [summary] = store.plans()
    assert (summary.catalogue_revision, summary.version) == (0, "0.9.9")
