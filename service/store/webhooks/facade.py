"""Webhooks as the rest of the service sees them: made, read, changed, removed, tried out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from service.documents.events import webhook_tried_to
from service.domain.faults import Fault, Refused
from service.domain.webhook import TRIED, Delivery, Wanted, Webhook
from service.store import idempotency as keys
from service.store.audit.noting import Noted, note
from service.store.engines import Engines
from service.store.idempotency import IdempotencyKey, StoredAnswer
from service.store.preconditions import Expectation, hold
from service.store.snapshots import current_revision
from service.store.teams import EVERY_TEAM
from service.store.webhooks import deliveries, outbox, rows
from service.store.webhooks.work import WebhookWork

MOST = 50
"""Webhooks that a team may have: every event is written for each of them."""

OLD_SECRET_KEPT = timedelta(hours=24)
"""For how long a secret that was changed signs beside the new one."""


class _KeyTaken(Exception):
    def __init__(self, answer: StoredAnswer) -> None:
        self.answer = answer


class WebhookStore:
    """The webhooks of a team. ``work`` is that of all teams: whoever delivers takes whatever is due."""

    def __init__(self, engines: Engines, clock: Callable[[], datetime]) -> None:
        self._engines = engines
        self._clock = clock
        self.work = WebhookWork(engines.for_team(EVERY_TEAM))

    # Read

    def get(self, webhook_id: str) -> Webhook:
        """A webhook; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return rows.fetch(connection, webhook_id)

    def listed(self, limit: int = 100, after: tuple[datetime, str] | None = None) -> list[Webhook]:
        """Webhooks, the newest first, from behind the one ``after`` (time, id)."""
        with self._engines.reading() as connection:
            return rows.listed(connection, limit, after)

    def deliveries(
        self, webhook_id: str, limit: int = 100, after: tuple[datetime, str] | None = None
    ) -> list[Delivery]:
        """Deliveries to a webhook, the newest first, from behind the one ``after``; raises ``NotFound``."""
        with self._engines.reading_at_once() as connection:
            rows.fetch(connection, webhook_id)
            return deliveries.listed(connection, webhook_id, limit, after)

    def delivery(self, webhook_id: str, delivery_id: str) -> Delivery:
        """One delivery; raises ``NotFound``."""
        with self._engines.reading_at_once() as connection:
            rows.fetch(connection, webhook_id)
            return deliveries.fetch(connection, webhook_id, delivery_id)

    # Changed

    def add(self, webhook: Webhook, secret: str, idempotency: IdempotencyKey | None = None) -> StoredAnswer | None:
        """Store a webhook with its secret.

        Returns None where it was stored; where another request has the key nothing is, and that request's answer is
        returned. Raises ``Refused`` where the team has as many as it may have.
        """
        with self._engines.writing() as connection:
            taken = None if idempotency is None else keys.claim(connection, idempotency, webhook.id)
            if taken is not None:
                return taken
            # Two requests for the last place meet here.
            current_revision(connection, lock=True)
            if rows.count(connection) >= MOST:
                raise Refused([Fault("", "too_many", f"A team has {MOST} webhooks at most; remove one first.")])
            rows.add(connection, webhook, secret)
            note(connection, Noted("make", "webhooks", webhook.id, None, webhook.revision))
        return None

    def replace(self, webhook_id: str, wanted: Wanted, expect: Expectation) -> Webhook:
        """Say anew what is wanted of a webhook; the same again makes no new revision.

        One that the service has switched off is on again where ``wanted`` says so. Raises ``NotFound``, ``Stale``.
        """
        with self._engines.writing() as connection:
            found = rows.fetch(connection, webhook_id, lock=True)
            hold(expect, found.revision, "The webhook")
            if found.wanted == wanted:
                return found
            on = wanted.active and not found.wanted.active
            changed = replace(
                found,
                wanted=wanted,
                revision=found.revision + 1,
                off_because=None if wanted.active else found.off_because,
                off_since=None if wanted.active else found.off_since,
                failing_since=None if on else found.failing_since,
            )
            told = {name: getattr(changed, name) for name in ("revision", "off_because", "off_since", "failing_since")}
            rows.change(connection, webhook_id, **told, **rows.said_columns(wanted))
            note(connection, Noted("put", "webhooks", webhook_id, found.revision, changed.revision))
            return changed

    def change_secret(
        self, webhook_id: str, secret: str, now: datetime, idempotency: IdempotencyKey | None = None
    ) -> StoredAnswer | None:
        """Give a webhook a new secret; the one before it signs beside it for a while. Returns as ``add`` does."""
        with self._engines.writing() as connection:
            found = rows.fetch(connection, webhook_id, lock=True)
            taken = None if idempotency is None else keys.claim(connection, idempotency, webhook_id)
            if taken is not None:
                return taken
            old = {"old_secret": rows.secret_of(connection, webhook_id), "old_secret_until": now + OLD_SECRET_KEPT}
            rows.change(connection, webhook_id, secret=secret, revision=found.revision + 1, **old)
            note(connection, Noted("secret", "webhooks", webhook_id, found.revision, found.revision + 1))
        return None

    def remove(self, webhook_id: str, expect: Expectation) -> None:
        """Remove a webhook with all that waits for it; raises ``NotFound``, ``Stale``."""
        with self._engines.writing() as connection:
            found = rows.fetch(connection, webhook_id, lock=True)
            hold(expect, found.revision, "The webhook")
            rows.remove(connection, webhook_id)
            # Its secret is in the answers that are kept under keys as well.
            keys.forget_answers(connection, webhook_id)
            note(connection, Noted("remove", "webhooks", webhook_id, found.revision, None))

    # Told

    def try_out(
        self, webhook_id: str, now: datetime, idempotency: IdempotencyKey | None = None
    ) -> Delivery | StoredAnswer:
        """Have an event sent that says nothing but that the webhook is tried out; raises ``NotFound``.

        Where another request has the key, that one's answer is returned.
        """
        try:
            with self._engines.writing() as connection:
                rows.fetch(connection, webhook_id, lock=True)
                (made,) = outbox.tell(connection, TRIED, webhook_tried_to(webhook_id), [webhook_id], now)
                taken = None if idempotency is None else keys.claim(connection, idempotency, made)
                if taken is not None:
                    raise _KeyTaken(taken)
                return deliveries.fetch(connection, webhook_id, made)
        except _KeyTaken as taken_by_another:
            return taken_by_another.answer

    def deliver_again(self, webhook_id: str, delivery_id: str) -> Delivery:
        """Have a delivery tried once more, at once; raises ``NotFound``."""
        with self._engines.writing() as connection:
            rows.fetch(connection, webhook_id, lock=True)
            deliveries.fetch(connection, webhook_id, delivery_id)
            deliveries.wait_again(connection, webhook_id, delivery_id, self._clock())
            return deliveries.fetch(connection, webhook_id, delivery_id)
