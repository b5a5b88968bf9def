"""Events: written with what they tell of, once, and for those who listen alone."""

from __future__ import annotations

import json
import threading
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from service.domain.installation import Contents, Installation
from service.planning.visiting import visit_between
from service.store import AnyRevision, Change, Changed, Revision, Stale, Store
from service.store.webhooks.outbox import listeners, tell
from tests import catalogue_documents as documents
from tests.hung_closures import START, contents, hung, one_more
from tests.store.takeoff_rows import TOTALS, received, result, results, started, worked_off
from tests.webhook_rows import added, order, placed, rows, told


def sent(store: Store, webhook: Any) -> list[dict[str, Any]]:
    """What a webhook is told, the oldest first."""
    return [json.loads(each.body) for each in told(store, webhook)]


def test_nobody_listens_and_nothing_is_written(store: Store) -> None:
    """Neither without webhooks, nor with one for other events, nor with one that is off."""
    placed(store)
    added(store, "takeoff.finished")
    added(store, active=False)
    placed(store)
    assert rows(store) == (0, 0)


def test_an_order_is_told_when_it_is_placed_and_only_then(store: Store) -> None:
    """One event, for two webhooks: the same id and body; the state that it is in already tells nothing."""
    first, second = added(store)[0], added(store)[0]
    made = order(store)
    assert rows(store) == (0, 0)
    moved = store.orders.move(made.id, "placed", AnyRevision())
    store.orders.move(made.id, "placed", AnyRevision())
    store.orders.move(made.id, "received", AnyRevision())
    assert rows(store) == (1, 2)
    (one,), (other,) = told(store, first), told(store, second)
    assert (one.event, one.body) == (other.event, other.body) and one.id != other.id
    assert json.loads(one.body) == {
        "type": "order.placed",
        "version": 1,
        "timestamp": moved.moments["placed"].strftime("%Y-%m-%dT%H:%M:%S.%fZ"),
        "data": {"id": made.id, "href": f"/v1/orders/{made.id}", "name": made.name, "lines": 1, "revision": 2},
    }


def test_what_did_not_happen_is_not_told(store: Store) -> None:
    """An order that somebody else moved on meanwhile: refused, and no event."""
    added(store)
    made = order(store)
    with pytest.raises(Stale):
        store.orders.move(made.id, "placed", Revision(7))
    assert rows(store) == (0, 0)


def test_a_finished_takeoff_is_told_once_though_its_chunks_are_worked_on_twice(store: Store) -> None:
    """A worker that lost its chunk brings it in as well, and the last one twice: one event."""
    webhook, _ = added(store, "takeoff.finished", "takeoff.cancelled")
    takeoff_id = started(store, 1, repeats=3, name="Ferrow build")
    work = store.takeoffs.work
    lost = work.lease("slow", lease_s=0)
    assert lost is not None and work.bury_expired() == 1
    again = work.lease("quick")
    assert again is not None
    assert work.bring_planned(again, results(again)) and not work.bring_planned(lost, results(lost))
    last = work.lease("quick")
    assert last is not None and last.stage == "adding_up"
    assert work.bring_added_up(last, TOTALS) and not work.bring_added_up(last, TOTALS)
    (event,) = sent(store, webhook)
    assert event["type"] == "takeoff.finished"
    assert event["data"] == {
        "id": takeoff_id,
        "href": f"/v1/takeoffs/{takeoff_id}",
        "name": "Ferrow build",
        "state": "finished",
        "points": {"total": 3, "fitting": 3, "not_fitting": 0, "not_proven": 0, "faulty": 0},
    }


def test_every_way_of_ending_has_its_event(store: Store) -> None:
    """Finished without any demand, cancelled, and stopped with the reason; workers are of no team, events are."""
    webhook, _ = added(store, "takeoff.finished", "takeoff.cancelled", "takeoff.stopped")
    south = store.for_team(store.access.made_team("south").id)
    other, _ = added(south, "takeoff.stopped")
    empty = started(store, 0)
    cancelled = started(store, 2)
    assert store.takeoffs.cancel(cancelled) and not store.takeoffs.cancel(cancelled)
    stopped = started(store, 1)
    chunk = store.takeoffs.work.lease("worker")
    assert chunk is not None and store.takeoffs.work.stop(chunk, "It went on for ever.")
    assert [(each["type"], each["data"]["id"], each["data"].get("why")) for each in sent(store, webhook)] == [
        ("takeoff.finished", empty, None),
        ("takeoff.cancelled", cancelled, None),
        ("takeoff.stopped", stopped, "It went on for ever."),
    ]
    assert sent(south, other) == []


def test_a_takeoff_that_ends_its_workers_is_told_when_it_is_given_up(store: Store) -> None:
    """Whoever buries the last worker writes the event, for the takeoff's own team."""
    south = store.for_team(store.access.made_team("south").id)
    webhook, _ = added(south, "takeoff.stopped")
    started(south, 1)
    chunk = store.takeoffs.work.lease("worker")
    assert chunk is not None and store.takeoffs.work.bring_planned(chunk, [result(1)])
    for _ in range(3):
        assert store.takeoffs.work.lease("worker", lease_s=0) is not None
        assert store.takeoffs.work.bury_expired() == 1
    assert [each["type"] for each in sent(south, webhook)] == ["takeoff.stopped"]


def test_a_takeoff_that_is_still_coming_tells_nothing(store: Store) -> None:
    """Received, discarded, or removed after it has ended: no event of its own."""
    webhook, _ = added(store, "takeoff.finished", "takeoff.cancelled", "takeoff.stopped")
    store.takeoffs.discard(received(store, 2))
    takeoff_id = started(store, 2)
    worked_off(store)
    store.takeoffs.delete(takeoff_id)
    assert [each["type"] for each in sent(store, webhook)] == ["takeoff.finished"]


def with_splices(before: Installation, splices: int) -> Change:
    """A visit after which so many splices lie there."""
    visits = before.contents.visits + 1
    after: Contents = replace(contents(splices), visits=visits)
    visit = visit_between("removed", before.contents, after, START.date(), START + timedelta(days=visits), "")
    return Change(before, replace(before, revision=before.revision + 1, contents=after), visit)


@pytest.fixture
def catalogued(store: Store) -> Store:
    """A store whose catalogue has the closure of these tests: one tray of twelve slots, and no room for another."""
    tray = documents.tray("ribbon-12", banks=[{"count": 1, "slots": {"ribbon-12": 12}}])
    closure = documents.closure("dome-48", trays=[{"tray": "ribbon-12", "most": 1}])
    document = documents.whole(trays=[documents.tray(), tray], closures=[documents.closure(), closure])
    store.put_catalogue(document, AnyRevision())
    return store


def filled(store: Store, webhook: Any) -> list[tuple[int, int, int]]:
    """The crossings that a webhook is told of: visit, slots taken, slots in all."""
    data = [each["data"] for each in sent(store, webhook)]
    return [(each["visit"], each["taken"], each["slots"]) for each in data]


def test_a_closure_is_told_when_a_visit_takes_it_past_the_share(catalogued: Store) -> None:
    """Once a crossing, at the share exactly; again only after a visit below it. Each webhook has its own share."""
    store = catalogued
    half, _ = added(store, "closure.filled", full_share=0.5)
    most, _ = added(store, "closure.filled", full_share=0.75)
    installation, visit = hung(name="Handhole 7")
    store.installations.hang(installation, visit)
    now = installation
    # A parked end lies in a slot too: five splices take six of twelve.
    for splices in (4, 5, 6, 8, 9, 4, 3, 9, 9):
        change = with_splices(now, splices)
        store.installations.change(change)
        now = change.after
    assert filled(store, half) == [(3, 6, 12), (9, 10, 12)]
    assert filled(store, most) == [(5, 9, 12), (9, 10, 12)]
    (first, _) = sent(store, half)
    assert first["type"] == "closure.filled"
    assert first["data"]["full_share"] == 0.5 and first["data"]["name"] == "Handhole 7"
    assert first["data"]["href"] == f"/v1/installations/{installation.id}"


def test_one_that_is_full_as_it_is_hung_is_told(catalogued: Store) -> None:
    """It was empty before; and two webhooks with one share are told of one event."""
    store = catalogued
    one, other = (added(store, "closure.filled", full_share=0.3)[0] for _ in range(2))
    store.installations.hang(*hung())
    assert filled(store, one) == filled(store, other) == [(1, 4, 12)]
    assert rows(store) == (1, 2)


def test_a_visit_that_lost_against_another_tells_nothing(catalogued: Store) -> None:
    """Of two visits from one revision the second is refused, and its crossing was none."""
    store = catalogued
    webhook, _ = added(store, "closure.filled", full_share=0.5)
    installation, visit = hung()
    store.installations.hang(installation, visit)
    store.installations.change(one_more(installation))
    with pytest.raises(Changed):
        store.installations.change(with_splices(installation, 9))
    assert filled(store, webhook) == []


def test_a_closure_that_the_catalogue_does_not_know_tells_nothing(store: Store) -> None:
    """How many slots there are cannot be said, and the visit is recorded all the same."""
    webhook, _ = added(store, "closure.filled", full_share=0.1)
    installation, visit = hung()
    assert store.installations.hang(installation, visit) is None
    assert filled(store, webhook) == []


def test_a_webhook_that_is_removed_while_it_is_being_told_stops_nobody(store: Store) -> None:
    """The order that tells it and the removal both go through, and nothing is left that waits for nobody."""
    webhook, _ = added(store)
    removing = threading.Thread(target=lambda: store.webhooks.remove(webhook.id, AnyRevision()))
    with store._engines.writing() as connection:
        told_now = [each.webhook for each in listeners(connection, "order.placed")]
        removing.start()
        removing.join(0.3)
        tell(connection, "order.placed", {}, told_now, START)
    removing.join(20)
    assert not removing.is_alive()
    assert store.webhooks.listed() == [] and rows(store)[1] == 0
