"""Orders as rows: added, found, listed, changed, removed. Statements without the ORM."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Select, delete, insert, literal, select, tuple_, update

from service.documents.order import moments_from, order_from, order_to, total_from
from service.domain.order import Item, Order, OrderState, OrderSummary, Short
from service.planning.orders.delivering import delivered
from service.store.audit.noting import Noted, note
from service.store.errors import NotFound
from service.store.moments import Moment
from service.store.orders.errors import OrderedAlready
from service.store.orders.tables import OrderRow, OrderSourceRow
from service.store.teams import mine
from service.store.text import contains, folded, keepable, read, written

_table = OrderRow.__table__
_sources = OrderSourceRow.__table__
_summary = [_table.c[name] for name in OrderSummary.__dataclass_fields__]
_AT_ONCE = 400


@dataclass(frozen=True, slots=True)
class OrderFilter:
    """Which orders to list; a member that is None does not narrow it. ``name`` is a part of it in any case."""

    state: OrderState | None = None
    name: str | None = None


def add(connection: Connection, order: Order) -> None:
    """Store a new order with its sources."""
    document = order_to(order)
    connection.execute(
        insert(OrderRow),
        {
            "id": order.id,
            "created": order.created,
            "name": order.name,
            "folded": folded(order.name),
            "state": order.state,
            "revision": order.revision,
            "lines": len(order.lines),
            "totals": written({"totals": document["totals"]}),
            "moments": written(document["moments"]),
            "document": written(document),
        },
    )
    rows = [{"order_id": order.id, "kind": source.kind, "source": source.id} for source in order.sources]
    connection.execute(insert(OrderSourceRow), rows)
    note(connection, Noted("make", "orders", order.id, None, order.revision))


def fetch(connection: Connection, order_id: str, lock: bool = False, as_made: bool = False) -> Order:
    """An order by its id as it stands, or as it was when it was made; raises ``NotFound``."""
    columns = (_table.c.document, _table.c.state, _table.c.revision, _table.c.moments, _table.c.short)
    query = select(*columns).where(mine(connection, _table), _table.c.id == order_id)
    row = connection.execute(query.with_for_update() if lock else query).one_or_none() if keepable(order_id) else None
    if row is None:
        raise NotFound("There is no such order.")
    order = order_from(read(row.document))
    if as_made:
        return order
    if row.short is not None:
        short = [Short(Item(kind, code), packs) for kind, code, packs in read(row.short)["short"]]
        order = delivered(order, dict(short))
    moments = moments_from(read(row.moments))
    return replace(order, state=row.state, revision=row.revision, moments=moments)


def change(connection: Connection, order: Order) -> None:
    """Store the state, revision and moments of an order, and which items came short."""
    came = [(line.kind, line.item, line.received) for line in order.lines if line.received is not None]
    ordered = {(line.kind, line.item): line.packs for line in order.lines}
    short = [each for each in came if each[2] != ordered[each[:2]]]
    values = {
        "state": order.state,
        "revision": order.revision,
        "moments": written(order_to(order)["moments"]),
        "short": written({"short": short}) if came else None,
    }
    connection.execute(update(OrderRow).where(mine(connection, _table), _table.c.id == order.id), values)
    note(connection, Noted(order.state, "orders", order.id, order.revision - 1, order.revision))


def remove(connection: Connection, order: Order) -> None:
    """Remove an order with its sources."""
    order_id = order.id
    note(connection, Noted("remove", "orders", order_id, order.revision, None))
    its = select(_table.c.id).where(mine(connection, _table), _table.c.id == order_id)
    connection.execute(delete(OrderSourceRow).where(_sources.c.order_id.in_(its)))
    connection.execute(delete(OrderRow).where(mine(connection, _table), _table.c.id == order_id))


def ordered(
    connection: Connection, sources: Iterable[tuple[str, str]], over: Sequence[OrderState] = ("withdrawn",)
) -> list[OrderedAlready]:
    """Which of these sources (kind, id) stand in an order, the newest one; orders in the states ``over`` do not count.

    One order for each of them.
    """
    wanted, found = sorted(sources), {}
    for start in range(0, len(wanted), _AT_ONCE):
        query = (
            select(_sources.c.kind, _sources.c.source, _table.c.id, _table.c.name)
            .join(_table, _table.c.id == _sources.c.order_id)
            .where(tuple_(_sources.c.kind, _sources.c.source).in_(wanted[start : start + _AT_ONCE]))
            .where(mine(connection, _table), _table.c.state.not_in(over))
            .order_by(_table.c.created.desc(), _table.c.id)
        )
        for kind, source, order_id, name in connection.execute(query):
            found[kind, source] = OrderedAlready(kind, source, order_id, name)
    return list(found.values())


def listed(
    connection: Connection, limit: int, after: tuple[datetime, str] | None, which: OrderFilter
) -> list[OrderSummary]:
    """Up to ``limit`` orders, the newest first, from behind the order of this time and id."""
    texts = (which.name or "", after[1] if after else "")
    if not all(keepable(text) for text in texts):
        return []
    query: Select[Any] = select(*_summary).where(mine(connection, _table))
    if which.state is not None:
        query = query.where(_table.c.state == which.state)
    if which.name:
        query = query.where(contains(OrderRow.folded, which.name))
    if after is not None:
        place = tuple_(literal(after[0], Moment), literal(after[1]))
        query = query.where(tuple_(_table.c.created, _table.c.id) < place)
    rows = connection.execute(query.order_by(_table.c.created.desc(), _table.c.id.desc()).limit(limit))
    return [_summarised(row._asdict()) for row in rows]


def _summarised(row: Mapping[str, Any]) -> OrderSummary:
    totals = tuple(total_from(total) for total in read(row["totals"])["totals"])
    return OrderSummary(**{**row, "totals": totals})
