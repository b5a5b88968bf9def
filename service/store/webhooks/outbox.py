"""Events, written in the transaction of what they tell of: never the one without the other.

A team that nobody listens for costs one look at its webhooks, and nothing is written.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, insert, select

from service.documents.events import event_to
from service.domain.webhook import EventType
from service.store.teams import mine
from service.store.text import written
from service.store.webhooks.tables import DeliveryRow, EventRow, WebhookRow

_webhooks = WebhookRow.__table__


class Listener(NamedTuple):
    """A webhook that is to be told, and the share from which on a closure is full to it."""

    webhook: str
    full_share: float


def listeners(connection: Connection, type: EventType) -> list[Listener]:
    """The team's webhooks that are on and listen to events of a type. None of them is removed in the meantime."""
    query = select(_webhooks.c.id, _webhooks.c.full_share, _webhooks.c.events)
    query = query.where(mine(connection, _webhooks), _webhooks.c.active.is_(True)).order_by(_webhooks.c.id)
    rows = connection.execute(query.with_for_update(read=True, key_share=True))
    return [Listener(row.id, row.full_share) for row in rows if type in row.events.split()]


def tell(connection: Connection, type: str, data: dict[str, Any], webhooks: Iterable[str], now: datetime) -> list[str]:
    """Write an event, once, and a delivery of it to each of these webhooks; returns the ids of the deliveries."""
    told = list(webhooks)
    if not told:
        return []
    event = uuid.uuid4().hex
    body = written(event_to(type, now, data))
    connection.execute(insert(EventRow), {"id": event, "created": now, "type": type, "body": body})
    ids = [uuid.uuid4().hex for _ in told]
    shared = {"event": event, "created": now, "state": "waiting", "attempts": 0, "due": now}
    rows = [{**shared, "id": id, "webhook": webhook} for id, webhook in zip(ids, told, strict=True)]
    connection.execute(insert(DeliveryRow), rows)
    return ids
