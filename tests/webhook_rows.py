"""Webhooks for tests of the store and of those who tell, and the events that they are told of."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import func, select

from service.domain.order import Order
from service.domain.webhook import Delivery, Wanted, Webhook
from service.domain.webhook_secret import new_secret
from service.store import AnyRevision, Store
from service.store.webhooks.tables import DeliveryRow, EventRow
from tests.order_drafts import SEAL, ask, draft


def added(store: Store, *events: str, **wanted: Any) -> tuple[Webhook, str]:
    """A webhook that listens to these events (all of an order's where none is named), and its secret."""
    said: dict[str, Any] = {"url": "https://1.1.1.1/told", "events": events or ("order.placed",)}
    webhook = Webhook(uuid4().hex, datetime.now(UTC), 1, Wanted(**{**said, **wanted}))
    secret = new_secret()
    assert store.webhooks.add(webhook, secret) is None
    return webhook, secret


def order(store: Store) -> Order:
    """A draft of an order."""
    made = store.orders.make(draft(ask(SEAL, 3), id=uuid4().hex))
    assert isinstance(made, Order)
    return made


def placed(store: Store, count: int = 1) -> list[str]:
    """The ids of so many orders that were placed."""
    return [store.orders.move(order(store).id, "placed", AnyRevision()).id for _ in range(count)]


def told(store: Store, webhook: Webhook) -> list[Delivery]:
    """The deliveries to a webhook, the oldest first."""
    return list(reversed(store.webhooks.deliveries(webhook.id, 500)))


def rows(store: Store) -> tuple[int, int]:
    """How many events and how many deliveries there are, of all teams."""
    with store._engines.reading() as connection:
        events = connection.scalars(select(func.count()).select_from(EventRow)).one()
        deliveries = connection.scalars(select(func.count()).select_from(DeliveryRow)).one()
    return events, deliveries
