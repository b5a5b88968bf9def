"""Deliveries as they are made: leased to one sender at a time, and what comes of a try."""

from __future__ import annotations

import threading
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from service.domain.audit import Actor
from service.domain.webhook import Outcome, Turn
from service.store import AnyRevision, AuditFilter, Store, acts
from tests.webhook_rows import added, placed, rows, told

TAKEN = Outcome(None, 204)
LATER = Outcome("status", 500, again_s=3600)


def leased(store: Store, lease_s: float = 30) -> Turn:
    """The delivery whose turn it is."""
    turn = store.webhooks.work.lease(lease_s)
    assert turn is not None
    return turn


def test_a_receiver_has_one_delivery_at_a_time(store: Store) -> None:
    """The older event first; the next one when that is over, whatever came of it."""
    webhook, secret = added(store)
    placed(store, 2)
    first = leased(store)
    assert (first.webhook, first.team, first.attempts, first.secrets) == (webhook.id, store.team, 0, (secret,))
    assert first.delivery == told(store, webhook)[0].id
    assert store.webhooks.work.lease() is None
    assert store.webhooks.work.finish(first, LATER)
    second = leased(store)
    assert second.delivery == told(store, webhook)[1].id
    assert store.webhooks.work.finish(second, TAKEN)
    assert store.webhooks.work.lease() is None


def test_one_that_does_not_answer_holds_up_nobody_else(store: Store) -> None:
    """While one webhook is leased, another's deliveries are there to be taken; of all teams."""
    webhook, _ = added(store)
    south = store.for_team(store.access.made_team("south").id)
    other, _ = added(south)
    placed(store, 2)
    placed(south)
    assert {leased(store).webhook, leased(store).webhook} == {webhook.id, other.id}
    assert store.webhooks.work.lease() is None


def test_many_senders_never_have_one_webhook_together(store: Store) -> None:
    """Eight threads take and finish all there is: every delivery once, and no webhook in two hands at any moment."""
    webhooks = [added(store)[0] for _ in range(3)]
    placed(store, 8)
    held: set[str] = set()
    met: list[str] = []
    done: list[str] = []
    lock, together = threading.Lock(), threading.Barrier(8)

    def work() -> None:
        together.wait()
        idle = 0
        while idle < 20:
            turn = store.webhooks.work.lease()
            if turn is None:
                idle += 1
                time.sleep(0.02)
                continue
            idle = 0
            with lock:
                met.extend({turn.webhook} & held)
                held.add(turn.webhook)
            time.sleep(0.002)
            with lock:
                held.discard(turn.webhook)
                done.append(turn.delivery)
            assert store.webhooks.work.finish(turn, TAKEN)

    threads = [threading.Thread(target=work) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert met == []
    assert sorted(done) == sorted(each.id for webhook in webhooks for each in told(store, webhook))
    assert len(done) == 24


def test_who_comes_back_late_has_lost_the_webhook(store: Store) -> None:
    """A lease that ran out is another's; what the first one found is not recorded, what the second did is."""
    webhook, _ = added(store)
    placed(store)
    late = leased(store, lease_s=0)
    second = leased(store)
    assert (second.delivery, second.event) == (late.delivery, late.event)
    assert not store.webhooks.work.finish(late, LATER)
    assert store.webhooks.work.finish(second, TAKEN)
    assert not store.webhooks.work.finish(second, LATER)
    (delivery,) = told(store, webhook)
    assert (delivery.state, delivery.attempts, delivery.status) == ("delivered", 1, 204)


def test_what_comes_of_a_try_stands_in_the_delivery(store: Store) -> None:
    """When it is tried next, or that it is not; the last status and trouble; how often it was tried."""
    webhook, _ = added(store)
    placed(store)
    before = datetime.now(UTC)
    assert store.webhooks.work.finish(leased(store), LATER)
    (delivery,) = told(store, webhook)
    assert (delivery.state, delivery.attempts, delivery.status, delivery.trouble) == ("waiting", 1, 500, "status")
    assert delivery.due is not None and timedelta(minutes=59) < delivery.due - before < timedelta(minutes=61)
    assert store.webhooks.work.lease() is None
    assert store.webhooks.deliver_again(webhook.id, delivery.id).attempts == 0
    assert store.webhooks.work.finish(leased(store), Outcome("timeout"))
    (delivery,) = told(store, webhook)
    assert (delivery.state, delivery.due, delivery.status, delivery.trouble) == ("failed", None, None, "timeout")


def test_a_webhook_says_since_when_it_fails(store: Store) -> None:
    """From the first failure, through those that follow, until one gets through."""
    webhook, _ = added(store)
    placed(store, 3)
    assert store.webhooks.get(webhook.id).failing_since is None
    store.webhooks.work.finish(leased(store), LATER)
    first = store.webhooks.get(webhook.id)
    assert first.failing_since is not None and first.failing_since == first.tried
    store.webhooks.work.finish(leased(store), LATER)
    second = store.webhooks.get(webhook.id)
    assert second.failing_since == first.failing_since and second.tried != first.tried
    store.webhooks.work.finish(leased(store), TAKEN)
    assert store.webhooks.get(webhook.id).failing_since is None


def test_one_that_says_it_is_gone_is_switched_off(store: Store) -> None:
    """Told in the resource and on record, at a revision of its own; nothing more goes there until it is on again."""
    webhook, _ = added(store)
    placed(store, 2)
    acts(Actor("webhooks"))
    assert store.webhooks.work.finish(leased(store), Outcome("gone", 410))
    acts(None)
    off = store.webhooks.get(webhook.id)
    assert (off.wanted.active, off.off_because, off.revision) == (False, "gone", 2)
    assert [each.state for each in told(store, webhook)] == ["failed", "waiting"]
    (entry, _) = store.audit.listed(2, None, AuditFilter(("webhooks",), item=webhook.id))
    assert (entry.operation, entry.by.name, entry.before, entry.after) == ("switch-off", "webhooks", 1, 2)
    assert store.webhooks.work.lease() is None
    placed(store)
    assert len(told(store, webhook)) == 2
    renamed = store.webhooks.replace(webhook.id, replace(off.wanted, description="Old office"), AnyRevision())
    assert renamed.off_because == "gone"
    on = store.webhooks.replace(webhook.id, replace(off.wanted, active=True), AnyRevision())
    assert (on.off_because, on.off_since, on.failing_since) == (None, None, None)
    assert leased(store).webhook == webhook.id


def test_one_that_fails_for_too_long_is_switched_off(store: Store) -> None:
    """Not at the first failure; at the first one that comes too long after it, and what waits is kept."""
    webhook, _ = added(store)
    placed(store, 2)
    failed = replace(LATER, off_after_s=0.05)
    store.webhooks.work.finish(leased(store), failed)
    assert store.webhooks.get(webhook.id).wanted.active
    time.sleep(0.1)
    store.webhooks.work.finish(leased(store), failed)
    off = store.webhooks.get(webhook.id)
    assert (off.wanted.active, off.off_because) == (False, "failing")
    assert [each.state for each in told(store, webhook)] == ["waiting", "waiting"]


def test_what_is_removed_meanwhile_is_not_recorded(store: Store) -> None:
    """The webhook went while a sender was at it: nothing comes back with what came of the try."""
    webhook, _ = added(store)
    placed(store)
    turn = leased(store)
    store.webhooks.remove(webhook.id, AnyRevision())
    assert not store.webhooks.work.finish(turn, LATER)
    assert rows(store)[1] == 0


def test_old_deliveries_are_forgotten_with_their_events(store: Store) -> None:
    """What is younger stays; an event stays as long as one delivery of it does."""
    webhook, _ = added(store)
    placed(store, 2)
    assert store.webhooks.work.forget(timedelta(days=1)) == 0
    assert rows(store) == (2, 2)
    assert store.webhooks.work.forget(timedelta(0)) == 2
    assert rows(store) == (0, 0)
    placed(store)
    store.webhooks.remove(webhook.id, AnyRevision())
    assert rows(store) == (1, 0)
    store.webhooks.work.forget(timedelta(days=1))
    assert rows(store) == (0, 0)


def test_how_much_waits_is_counted_over_all_teams(store: Store) -> None:
    """Deliveries by state, webhooks by whether they are on."""
    south = store.for_team(store.access.made_team("south").id)
    for team in (store, south):
        added(team)
        added(team, active=False)
        placed(team, 2)
    store.webhooks.work.finish(leased(store), TAKEN)
    store.webhooks.work.finish(leased(store), Outcome("timeout"))
    assert store.webhooks.work.standing() == (2, 1, 1, 2, 2)
