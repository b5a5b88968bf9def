"""Takeoffs on their way in: batches, starting, keys, and what breaks off."""

from __future__ import annotations

from datetime import timedelta

import pytest

from service.domain.faults import Fault
from service.store import NotFound, Store, open_store
from tests.store.plan_rows import new_key
from tests.store.takeoff_rows import MOMENT, demand, new_takeoff, point, received, started, worked_off


def test_batches_add_up_to_the_takeoff(store: Store) -> None:
    """Splice points and demands are counted over batches, and a repeated demand counts its splice points in each."""
    takeoff = new_takeoff(tags={"area": "north"}, strict=True, closure_kinds_most=3)
    store.takeoffs.begin(takeoff)
    store.takeoffs.add_batch(takeoff.id, [point(1, 1), point(2, 2), point(3, 1)], [demand(1), demand(2)])
    store.takeoffs.add_batch(takeoff.id, [point(4, 2), point(5, 3), point(6, 2)], [demand(3)])
    status = store.takeoffs.get(takeoff.id)
    assert (status.state, status.points, status.demands, status.done) == ("receiving", 6, 3, 0)
    assert (status.name, status.tags, status.strict, status.closure_kinds_most) == (
        "Ferrow build",
        {"area": "north"},
        True,
        3,
    )
    store.takeoffs.start(takeoff.id)
    chunk = store.takeoffs.work.lease("worker")
    assert chunk is not None
    counts = {}
    while chunk:
        counts.update({each.number: each.points for each in store.takeoffs.work.demands(chunk)})
        chunk = store.takeoffs.work.lease("worker")
    assert counts == {1: 2, 2: 3, 3: 1}


def test_a_faulty_splice_point_is_done_when_it_is_received(store: Store) -> None:
    """It counts as faulty and as done, and its faults are read back as they were written."""
    takeoff = new_takeoff()
    store.takeoffs.begin(takeoff)
    faults = (Fault("/cables/0/tag", "missing", "It is “missing”."), Fault("", "malformed", "No JSON."))
    store.takeoffs.add_batch(takeoff.id, [point(1, None, faults=faults), point(2, 1)], [demand(1)])
    status = store.takeoffs.get(takeoff.id)
    assert (status.points, status.faulty, status.done) == (2, 1, 1)
    first = store.takeoffs.point(takeoff.id, 1)
    assert (first.done, first.fits, first.faults, first.answer) == (True, None, faults, None)


def test_a_batch_is_stored_whole_or_not_at_all(store: Store) -> None:
    """A place that comes twice takes the whole batch with it, counts included."""
    takeoff_id = received(store, 3)
    with pytest.raises(Exception, match=r"UNIQUE|duplicate"):
        store.takeoffs.add_batch(takeoff_id, [point(4, 4), point(2, 1)], [demand(4)])
    status = store.takeoffs.get(takeoff_id)
    assert (status.points, status.demands) == (3, 3)
    store.takeoffs.add_batch(takeoff_id, [point(4, 4)], [demand(4)])
    assert store.takeoffs.get(takeoff_id).demands == 4


@pytest.mark.parametrize(("points", "new"), [([point(1, 2)], [demand(1)]), ([], [demand(2)]), ([point(1, 0)], [])])
def test_demands_are_numbered_on(store: Store, points: list, new: list) -> None:
    """A gap in the numbers, or a splice point that has a demand which is not there, is a fault of the caller."""
    takeoff = new_takeoff()
    store.takeoffs.begin(takeoff)
    with pytest.raises(ValueError, match="demand"):
        store.takeoffs.add_batch(takeoff.id, points, new)


def test_nothing_is_added_to_a_takeoff_that_was_started(store: Store) -> None:
    """Nor to one that was never begun, and none is started twice."""
    takeoff_id = started(store, 2)
    with pytest.raises(NotFound):
        store.takeoffs.add_batch(takeoff_id, [point(3, 1)])
    with pytest.raises(NotFound):
        store.takeoffs.add_batch("0" * 32, [point(1, 1)], [demand(1)])
    with pytest.raises(NotFound):
        store.takeoffs.start(takeoff_id)
    with pytest.raises(NotFound):
        store.takeoffs.start("0" * 32)


def test_a_takeoff_of_nothing_but_faults_is_finished_when_it_starts(store: Store) -> None:
    """No worker is needed for it."""
    takeoff = new_takeoff(closure_kinds_most=2)
    store.takeoffs.begin(takeoff)
    store.takeoffs.add_batch(takeoff.id, [point(1, None, faults=(Fault("", "malformed", "No JSON."),))])
    store.takeoffs.start(takeoff.id)
    status = store.takeoffs.get(takeoff.id)
    assert (status.state, status.done, status.faulty) == ("finished", 1, 1)
    assert status.ended is not None


def test_a_key_that_is_taken_starts_nothing_and_leaves_nothing(store: Store) -> None:
    """The second takeoff under a key is removed again, and the answer of the first is returned."""
    first, second = received(store, 2), received(store, 2)
    assert store.takeoffs.start(first, new_key("again")) is None
    answer = store.takeoffs.start(second, new_key("again"))
    assert answer is not None
    assert answer.plan_id == first
    with pytest.raises(NotFound):
        store.takeoffs.get(second)
    assert worked_off(store) == 2


def test_what_is_discarded_is_gone(store: Store) -> None:
    """Only while it is being received: a takeoff that was started is not discarded."""
    gone, kept = received(store, 2), started(store, 2)
    for takeoff_id in (gone, kept, "0" * 32):
        store.takeoffs.discard(takeoff_id)
    with pytest.raises(NotFound):
        store.takeoffs.get(gone)
    assert store.takeoffs.get(kept).state == "running"


def test_what_broke_off_is_removed_when_the_next_one_comes(url: str) -> None:
    """A takeoff that nothing was received of for an hour is taken for broken off; a slow one is not."""
    now = MOMENT
    store = open_store(url, lambda: now)
    store.upgrade()
    broken, slow, running = received(store, 2), received(store, 2), started(store, 2)
    now = MOMENT + timedelta(minutes=59)
    store.takeoffs.add_batch(slow, [point(3, 1)])
    now = MOMENT + timedelta(minutes=61)
    store.takeoffs.begin(new_takeoff(created=now))
    with pytest.raises(NotFound):
        store.takeoffs.get(broken)
    assert [store.takeoffs.get(each).state for each in (slow, running)] == ["receiving", "running"]
    store.close()
