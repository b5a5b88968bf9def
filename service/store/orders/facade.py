"""Orders as the rest of the service sees them: made, read, moved on from state to state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from service.documents.events import order_placed_to
from service.domain.order import Item, Order, OrderState, OrderSummary, Short
from service.planning.orders.delivering import checked_short, delivered
from service.planning.orders.making import Draft
from service.planning.orders.moving import holding, may_follow, movements
from service.store import idempotency as keys
from service.store.engines import Engines
from service.store.idempotency import IdempotencyKey, StoredAnswer
from service.store.orders import rows, stock
from service.store.orders.errors import NotInState, Ordered
from service.store.orders.rows import OrderFilter
from service.store.orders.sources import insist_on_present
from service.store.preconditions import Expectation, hold
from service.store.webhooks.outbox import listeners, tell


class _KeyTaken(Exception):
    def __init__(self, answer: StoredAnswer) -> None:
        self.answer = answer


class OrderStore:
    """The orders of one database. Stock moves in the same transaction as the order that moves it."""

    def __init__(self, engines: Engines, clock: Callable[[], datetime]) -> None:
        self._engines = engines
        self._clock = clock

    def make(
        self, draft: Draft, idempotency: IdempotencyKey | None = None, present: bool = False
    ) -> Order | StoredAnswer:
        """Settle a draft against the stock, hold what it takes from there, and store it.

        Returns the order; where another request has the key nothing is stored, and that request's answer is returned.
        Raises ``Ordered`` where one of its sources was ordered before, unless the draft may order it again, and where
        ``present`` is insisted on, ``Refused`` for a source that was removed since it was added up.
        """
        try:
            with self._engines.writing() as connection:
                if idempotency is not None:
                    taken = keys.claim(connection, idempotency, draft.heading.id)
                    if taken is not None:
                        raise _KeyTaken(taken)
                stock.lock(connection)
                places: dict[tuple[str, str], str] = {
                    (source.kind, source.id): summed.pointer for source, summed in draft.sources
                }
                if present:
                    insist_on_present(connection, places)
                if not draft.heading.again:
                    found = rows.ordered(connection, places)
                    if found:
                        raise Ordered([each._replace(pointer=places[each.kind, each.id]) for each in found])
                levels = stock.levels(connection, (need.item for need in draft.needs))
                order = draft.settled(stock.available(levels))
                rows.add(connection, order)
                stock.move(connection, holding(order))
        except _KeyTaken as taken_by_another:
            return taken_by_another.answer
        return order

    def available(self, items: Iterable[Item]) -> Mapping[Item, Decimal]:
        """What no order holds of these items just now."""
        with self._engines.reading_at_once() as connection:
            return stock.available(stock.levels(connection, items))

    def get(self, order_id: str) -> Order:
        """An order; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return rows.fetch(connection, order_id)

    def as_made(self, order_id: str) -> Order:
        """An order as it was when it was made; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return rows.fetch(connection, order_id, as_made=True)

    def listed(
        self, limit: int = 100, after: tuple[datetime, str] | None = None, which: OrderFilter | None = None
    ) -> list[OrderSummary]:
        """Orders, the newest first, from behind the order ``after`` (time, id)."""
        with self._engines.reading() as connection:
            return rows.listed(connection, limit, after, which or OrderFilter())

    def move(self, order_id: str, state: OrderState, expect: Expectation, short: Sequence[Short] = ()) -> Order:
        """Let an order go on to a state, and the stock with it; the state that it is in already changes nothing.

        Where it is ``received``, ``short`` says of which items fewer packs came than were ordered. Raises ``NotFound``,
        ``Stale`` by ``expect``, ``NotInState``, and ``Refused`` for what cannot be short.
        """
        with self._engines.writing() as connection:
            stock.lock(connection)
            order = rows.fetch(connection, order_id, lock=True)
            hold(expect, order.revision, "The order")
            if order.state == state:
                return order
            if not may_follow(order, state):
                raise NotInState(order.state, state)
            if state == "received":
                order = delivered(order, checked_short(order, short))
            stock.move(connection, movements(order, state))
            moments = {**order.moments, state: self._clock()}
            moved = replace(order, state=state, revision=order.revision + 1, moments=moments)
            rows.change(connection, moved)
            if state == "placed":
                listening = [each.webhook for each in listeners(connection, "order.placed")]
                tell(connection, "order.placed", order_placed_to(moved), listening, moments[state])
        return moved

    def delete(self, order_id: str, expect: Expectation) -> None:
        """Remove a draft and give back what it holds; raises ``NotFound``, ``Stale`` by ``expect``, ``NotInState``."""
        with self._engines.writing() as connection:
            stock.lock(connection)
            order = rows.fetch(connection, order_id, lock=True)
            hold(expect, order.revision, "The order")
            if order.state != "draft":
                raise NotInState(order.state, None)
            stock.move(connection, movements(order, None))
            rows.remove(connection, order)
