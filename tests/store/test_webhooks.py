"""Webhooks in the database: kept, changed, and a team's own."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import text

from service.domain.faults import Refused
from service.domain.webhook import Webhook
from service.domain.webhook_secret import new_secret
from service.store import AuditFilter, NotFound, Revision, Stale, Store, StoredAnswer
from service.store.preconditions import AnyRevision
from service.store.webhooks.facade import MOST
from tests.store.plan_rows import new_key
from tests.webhook_rows import added, placed, rows, told


def test_a_webhook_is_kept_as_it_was_said(store: Store) -> None:
    """Every member comes back, the newest stands first in the list, and no secret is among what is read."""
    first, _ = added(store, "order.placed", "closure.filled", description="Büro", full_share=0.65)
    second, secret = added(store, active=False)
    assert store.webhooks.get(first.id) == first
    assert store.webhooks.listed() == [second, first]
    assert store.webhooks.listed(1, (second.created, second.id)) == [first]
    assert secret not in repr(store.webhooks.get(second.id))


def test_a_change_is_guarded_by_its_revision(store: Store) -> None:
    """The next revision for what is another, none for the same again, and refused from an earlier one."""
    webhook, _ = added(store)
    other = replace(webhook.wanted, url="https://9.9.9.9/other", full_share=0.5)
    assert store.webhooks.replace(webhook.id, webhook.wanted, Revision(1)) == webhook
    changed = store.webhooks.replace(webhook.id, other, Revision(1))
    assert (changed.revision, changed.wanted) == (2, other)
    assert store.webhooks.get(webhook.id) == changed
    with pytest.raises(Stale):
        store.webhooks.replace(webhook.id, webhook.wanted, Revision(1))
    with pytest.raises(Stale):
        store.webhooks.remove(webhook.id, Revision(1))


def test_a_removed_webhook_is_gone_with_what_waited_for_it(store: Store) -> None:
    """It is not found, its deliveries are not there, and what another listens to stays."""
    webhook, _ = added(store)
    other, _ = added(store)
    placed(store, 2)
    store.webhooks.remove(webhook.id, AnyRevision())
    for ask in (store.webhooks.get, store.webhooks.deliveries):
        with pytest.raises(NotFound):
            ask(webhook.id)
    assert len(told(store, other)) == 2
    assert rows(store) == (2, 2)


def test_a_team_has_so_many_webhooks_and_no_more(store: Store) -> None:
    """One more is refused, and there is room again for one that was removed; another team has room of its own."""
    made = [added(store)[0] for _ in range(MOST)]
    with pytest.raises(Refused, match=str(MOST)):
        added(store)
    added(store.for_team(store.access.made_team("south").id))
    store.webhooks.remove(made[0].id, AnyRevision())
    added(store)
    assert len(store.webhooks.listed(500)) == MOST


def test_another_team_finds_nothing(store: Store) -> None:
    """Neither the webhook nor its deliveries, and it changes nothing there; its orders are not told."""
    webhook, _ = added(store)
    placed(store)
    (delivery,) = told(store, webhook)
    south = store.for_team(store.access.made_team("south").id)
    assert south.webhooks.listed() == []
    now = datetime.now(UTC)
    for attempt in (
        lambda: south.webhooks.get(webhook.id),
        lambda: south.webhooks.replace(webhook.id, webhook.wanted, AnyRevision()),
        lambda: south.webhooks.remove(webhook.id, AnyRevision()),
        lambda: south.webhooks.change_secret(webhook.id, new_secret(), now),
        lambda: south.webhooks.try_out(webhook.id, now),
        lambda: south.webhooks.deliveries(webhook.id),
        lambda: south.webhooks.delivery(webhook.id, delivery.id),
        lambda: south.webhooks.deliver_again(webhook.id, delivery.id),
    ):
        with pytest.raises(NotFound):
            attempt()
    placed(south)
    assert told(store, webhook) == [delivery]


def test_what_is_done_to_a_webhook_is_on_record_without_its_secrets(store: Store) -> None:
    """Made, changed, given another secret, removed: each with its revisions; no secret and no address in the record."""
    webhook, secret = added(store, url="https://1.1.1.1/told?token=hidden")
    store.webhooks.replace(webhook.id, replace(webhook.wanted, active=False), Revision(1))
    another = new_secret()
    store.webhooks.change_secret(webhook.id, another, datetime.now(UTC))
    store.webhooks.remove(webhook.id, Revision(3))
    found = store.audit.listed(500, None, AuditFilter(("webhooks",), item=webhook.id))
    assert [(each.operation, each.before, each.after) for each in reversed(found)] == [
        ("make", None, 1),
        ("put", 1, 2),
        ("secret", 2, 3),
        ("remove", 3, None),
    ]
    with store._engines.reading() as connection:
        record = repr(connection.execute(text("SELECT * FROM audit")).all())
    assert all(hidden not in record for hidden in (secret, another, "hidden"))


def test_a_key_makes_one_webhook_and_is_forgotten_with_it(store: Store) -> None:
    """The second request with the key stores nothing and gets the first answer, until the webhook is removed."""
    first, second = (Webhook(f"{n:032x}", datetime.now(UTC), 1, added(store)[0].wanted) for n in (1, 2))
    key = replace(new_key("make"), body=b'{"secret":"whsec_x"}')
    assert store.webhooks.add(first, new_secret(), key) is None
    taken = store.webhooks.add(second, new_secret(), key)
    assert isinstance(taken, StoredAnswer) and (taken.plan_id, taken.body) == (first.id, key.body)
    with pytest.raises(NotFound):
        store.webhooks.get(second.id)
    store.webhooks.remove(first.id, AnyRevision())
    kept = store.idempotent("make")
    assert kept is not None and kept.body is None


def test_a_trial_is_sent_to_one_webhook_once_for_a_key(store: Store) -> None:
    """Whatever it listens to; the second request with the key writes no event."""
    webhook, _ = added(store)
    added(store)
    now = datetime.now(UTC)
    key = new_key("try")
    made = store.webhooks.try_out(webhook.id, now, key)
    again = store.webhooks.try_out(webhook.id, now, key)
    assert not isinstance(made, StoredAnswer) and (made.type, made.state) == ("webhook.tried", "waiting")
    assert isinstance(again, StoredAnswer) and again.plan_id == made.id
    assert rows(store) == (1, 1)


def test_the_old_secret_signs_for_a_day_beside_the_new_one(store: Store) -> None:
    """Both go with a delivery until the day is over, and the new one alone from then on."""
    webhook, old = added(store)
    placed(store)
    changed = {}
    for age in (timedelta(hours=1), timedelta(hours=25)):
        new = changed[age] = new_secret()
        store.webhooks.change_secret(webhook.id, new, datetime.now(UTC) - age)
        turn = store.webhooks.work.lease(lease_s=0)
        assert turn is not None
        assert turn.secrets == ((new, old) if age < timedelta(days=1) else (new,))
        old = new
