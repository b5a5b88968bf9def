"""Deliveries as those who make them see them: leased, and brought to an end.

What is leased is the webhook, so that a receiver gets one delivery at a time, from whatever server: one that does not
answer holds up nobody but itself, and two senders never send the same at once. The fence counts the leases: who comes
back with an earlier one has lost the webhook to another, and what came of the try is not recorded.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, Row, delete, func, or_, select, update

from service.domain.webhook import Outcome, Turn
from service.store.audit.noting import Noted, note
from service.store.engines import Engines
from service.store.takeoffs.leasing import now_of
from service.store.teams import bound, mine
from service.store.webhooks.tables import DeliveryRow, EventRow, WebhookRow

LEASE_S = 30.0
"""How long a lease lasts: a try, with looking up the host, is over in two thirds of that."""

_webhooks = WebhookRow.__table__
_deliveries = DeliveryRow.__table__
_events = EventRow.__table__


class Told(NamedTuple):
    """Deliveries that are kept, by their state, and webhooks that are on and off, of all teams."""

    waiting: int = 0
    delivered: int = 0
    failed: int = 0
    on: int = 0
    off: int = 0


class WebhookWork:
    """The deliveries of one database."""

    def __init__(self, engines: Engines) -> None:
        self._engines = engines

    def lease(self, lease_s: float = LEASE_S) -> Turn | None:
        """Take the delivery that has been due for longest; None where none is."""
        with self._engines.reading() as connection:
            if connection.scalars(_due(connection, now_of(connection))).first() is None:
                return None
        with self._engines.writing() as connection:
            return _lease(connection, lease_s)

    def finish(self, turn: Turn, outcome: Outcome) -> bool:
        """Record what came of a try; False where the webhook is another's by now, or not there any more."""
        with self._engines.writing() as connection:
            return _finish(connection, turn, outcome)

    def forget(self, older_than: timedelta) -> int:
        """Delete deliveries that are older, and the events that are nobody's any more; returns how many deliveries."""
        with self._engines.writing() as connection:
            before = now_of(connection) - older_than
            gone = connection.execute(delete(DeliveryRow).where(_deliveries.c.created < before)).rowcount
            wanted = select(_deliveries.c.number).where(_deliveries.c.event == _events.c.id).exists()
            connection.execute(delete(EventRow).where(~wanted))
        return gone

    def standing(self) -> Told:
        """How many deliveries there are, and how many webhooks."""
        by_state = select(_deliveries.c.state, func.count()).group_by(_deliveries.c.state)
        with self._engines.reading() as connection:
            states = {state: int(count) for state, count in connection.execute(by_state)}
            by_active = select(_webhooks.c.active, func.count()).where(mine(connection, _webhooks))
            active = {bool(on): int(count) for on, count in connection.execute(by_active.group_by(_webhooks.c.active))}
        waiting, delivered, failed = (states.get(state, 0) for state in ("waiting", "delivered", "failed"))
        return Told(waiting, delivered, failed, active.get(True, 0), active.get(False, 0))


def _waits(now: datetime) -> tuple[ColumnElement[bool], ...]:
    return _deliveries.c.state == "waiting", _deliveries.c.due <= now


def _due(connection: Connection, now: datetime) -> Any:
    """The webhooks that nobody is at and something is due for, that which has waited for longest first."""
    idle = or_(_webhooks.c.leased_until.is_(None), _webhooks.c.leased_until < now)
    query = select(_webhooks.c.id).join(_deliveries, _deliveries.c.webhook == _webhooks.c.id)
    query = query.where(mine(connection, _webhooks), _webhooks.c.active.is_(True), idle, *_waits(now))
    return query.order_by(_deliveries.c.due, _deliveries.c.number).limit(1)


def _lease(connection: Connection, lease_s: float) -> Turn | None:
    now = now_of(connection)
    due = _due(connection, now).with_for_update(of=_webhooks, skip_locked=True, key_share=True)
    webhook_id = connection.scalars(due).one_or_none()
    if webhook_id is None:
        return None
    # Looked up anew behind the lock: what was due may have been delivered by whoever had the webhook until now.
    its = select(_deliveries.c.id, _deliveries.c.attempts, _events.c.id.label("event"), _events.c.body)
    its = its.join(_events, _events.c.id == _deliveries.c.event)
    its = its.where(_deliveries.c.webhook == webhook_id, *_waits(now))
    found = connection.execute(its.order_by(_deliveries.c.due, _deliveries.c.number).limit(1)).one_or_none()
    if found is None:
        return None
    this = mine(connection, _webhooks), _webhooks.c.id == webhook_id
    values = {"fence": _webhooks.c.fence + 1, "leased_until": now + timedelta(seconds=lease_s)}
    connection.execute(update(WebhookRow).where(*this).values(**values))
    webhook = connection.execute(select(_webhooks).where(*this)).one()
    return Turn(
        webhook=webhook_id,
        team=webhook.team,
        fence=webhook.fence,
        delivery=found.id,
        event=found.event,
        attempts=found.attempts,
        url=webhook.url,
        secrets=_secrets(webhook, now),
        body=found.body.encode(),
    )


def _secrets(webhook: Row[Any], now: datetime) -> tuple[str, ...]:
    if webhook.old_secret is None or webhook.old_secret_until <= now:
        return (webhook.secret,)
    return webhook.secret, webhook.old_secret


def _finish(connection: Connection, turn: Turn, outcome: Outcome) -> bool:
    this = mine(connection, _webhooks), _webhooks.c.id == turn.webhook
    webhook = connection.execute(select(_webhooks).where(*this).with_for_update(key_share=True)).one_or_none()
    if webhook is None or webhook.fence != turn.fence or webhook.leased_until is None:
        return False
    now = now_of(connection)
    waits = outcome.again_s is not None
    values = {
        "state": "delivered" if outcome.trouble is None else "waiting" if waits else "failed",
        "attempts": turn.attempts + 1,
        "due": now + timedelta(seconds=outcome.again_s) if outcome.again_s is not None else None,
        "tried": now,
        "status": outcome.status,
        "trouble": outcome.trouble,
    }
    connection.execute(update(DeliveryRow).where(_deliveries.c.id == turn.delivery).values(**values))
    began = None if outcome.trouble is None else webhook.failing_since or now
    told: dict[str, Any] = {"leased_until": None, "tried": now, "failing_since": began}
    why = _why_off(outcome, began, now)
    goes_off = why is not None and webhook.active
    if goes_off:
        told |= {"active": False, "off_because": why, "off_since": now, "revision": webhook.revision + 1}
    if webhook.old_secret_until is not None and webhook.old_secret_until <= now:
        told |= {"old_secret": None, "old_secret_until": None}
    connection.execute(update(WebhookRow).where(*this).values(**told))
    if goes_off:
        # From here on the connection is the team's.
        revisions = webhook.revision, webhook.revision + 1
        note(bound(connection, webhook.team), Noted("switch-off", "webhooks", turn.webhook, *revisions))
    return True


def _why_off(outcome: Outcome, began: datetime | None, now: datetime) -> str | None:
    if outcome.trouble == "gone":
        return "gone"
    if began is not None and (now - began).total_seconds() > outcome.off_after_s:
        return "failing"
    return None
