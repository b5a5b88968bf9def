"""Deliveries as rows: found, listed, and made to go out once more. They are reached by way of their webhook."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, literal, select, tuple_, update

from service.domain.webhook import Delivery
from service.store.errors import NotFound
from service.store.moments import Moment
from service.store.text import keepable
from service.store.webhooks.tables import DeliveryRow, EventRow

_table = DeliveryRow.__table__
_events = EventRow.__table__
_NAMES = ("id", "created", "event", "state", "attempts", "due", "tried", "status", "trouble")
_whole: Select[Any] = select(*(_table.c[name] for name in _NAMES), _events.c.type, _events.c.body).join(
    _events, _events.c.id == _table.c.event
)


def fetch(connection: Connection, webhook_id: str, delivery_id: str) -> Delivery:
    """A delivery to a webhook, which the caller has found to be the team's; raises ``NotFound``."""
    query = _whole.where(_table.c.webhook == webhook_id, _table.c.id == delivery_id)
    row = connection.execute(query).one_or_none() if keepable(delivery_id) else None
    if row is None:
        raise NotFound("There is no such delivery.")
    return _delivery(row)


def listed(connection: Connection, webhook_id: str, limit: int, after: tuple[datetime, str] | None) -> list[Delivery]:
    """Up to ``limit`` deliveries to a webhook, the newest first, from behind the one of this time and id."""
    query = _whole.where(_table.c.webhook == webhook_id)
    if after is not None:
        place = tuple_(literal(after[0], Moment), literal(after[1]))
        query = query.where(tuple_(_table.c.created, _table.c.id) < place)
    rows = connection.execute(query.order_by(_table.c.created.desc(), _table.c.id.desc()).limit(limit))
    return [_delivery(row) for row in rows]


def wait_again(connection: Connection, webhook_id: str, delivery_id: str, now: datetime) -> None:
    """Have a delivery tried at once, and from then on as often as a new one, unless it has not been tried yet."""
    which = _table.c.webhook == webhook_id, _table.c.id == delivery_id
    connection.execute(update(DeliveryRow).where(*which).values(state="waiting", due=now, attempts=0))


def _delivery(row: Row[Any]) -> Delivery:
    return Delivery(**{**row._mapping, "body": row.body.encode()})
