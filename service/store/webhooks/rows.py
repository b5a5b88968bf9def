"""Webhooks as rows: added, found, changed, removed."""

from __future__ import annotations

from dataclasses import fields
from datetime import datetime
from typing import Any, cast

from sqlalchemy import Connection, Row, delete, func, insert, literal, select, tuple_, update

from service.domain.webhook import EVENT_TYPES, EventType, Wanted, Webhook
from service.store.errors import NotFound
from service.store.moments import Moment
from service.store.teams import mine
from service.store.text import keepable
from service.store.webhooks.tables import DeliveryRow, WebhookRow

_table = WebhookRow.__table__
_OWN = tuple(each.name for each in fields(Webhook) if each.name != "wanted")
_columns = [_table.c[name] for name in (*_OWN, *(each.name for each in fields(Wanted)))]


def said_columns(wanted: Wanted) -> dict[str, Any]:
    """The columns that hold what a caller says of a webhook."""
    return {
        "url": wanted.url,
        "events": " ".join(wanted.events),
        "description": wanted.description,
        "full_share": wanted.full_share,
        "active": wanted.active,
    }


def add(connection: Connection, webhook: Webhook, secret: str) -> None:
    """Store a new webhook with its secret."""
    row = {"id": webhook.id, "created": webhook.created, "revision": webhook.revision, "secret": secret, "fence": 0}
    connection.execute(insert(WebhookRow), {**row, **said_columns(webhook.wanted)})


def count(connection: Connection) -> int:
    """How many webhooks the team has."""
    return connection.scalars(select(func.count()).select_from(_table).where(mine(connection, _table))).one()


def fetch(connection: Connection, webhook_id: str, lock: bool = False) -> Webhook:
    """A webhook by its id; raises ``NotFound``. ``lock``: no one else changes or tells it meanwhile."""
    query = select(*_columns).where(mine(connection, _table), _table.c.id == webhook_id)
    query = query.with_for_update() if lock else query
    row = connection.execute(query).one_or_none() if keepable(webhook_id) else None
    if row is None:
        raise NotFound("There is no such webhook.")
    return _webhook(row)


def change(connection: Connection, webhook_id: str, **values: Any) -> None:
    """Set columns of a webhook."""
    connection.execute(update(WebhookRow).where(mine(connection, _table), _table.c.id == webhook_id).values(**values))


def secret_of(connection: Connection, webhook_id: str) -> str:
    """The secret that signs now."""
    query = select(_table.c.secret).where(mine(connection, _table), _table.c.id == webhook_id)
    secret: str = connection.scalars(query).one()
    return secret


def remove(connection: Connection, webhook_id: str) -> None:
    """Remove a webhook with all that waits for it."""
    its = select(_table.c.id).where(mine(connection, _table), _table.c.id == webhook_id)
    connection.execute(delete(DeliveryRow).where(DeliveryRow.webhook.in_(its)))
    connection.execute(delete(WebhookRow).where(mine(connection, _table), _table.c.id == webhook_id))


def listed(connection: Connection, limit: int, after: tuple[datetime, str] | None) -> list[Webhook]:
    """Up to ``limit`` webhooks, the newest first, from behind the one of this time and id."""
    query = select(*_columns).where(mine(connection, _table))
    if after is not None:
        place = tuple_(literal(after[0], Moment), literal(after[1]))
        query = query.where(tuple_(_table.c.created, _table.c.id) < place)
    rows = connection.execute(query.order_by(_table.c.created.desc(), _table.c.id.desc()).limit(limit))
    return [_webhook(row) for row in rows]


def _webhook(row: Row[Any]) -> Webhook:
    found = row._mapping
    events = cast("tuple[EventType, ...]", tuple(each for each in EVENT_TYPES if each in row.events.split()))
    wanted = Wanted(row.url, events, row.description, row.full_share, row.active)
    return Webhook(**{name: found[name] for name in _OWN}, wanted=wanted)
