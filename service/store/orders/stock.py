"""The stock: what lies in the store of each item, and what of it is held by orders."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from sqlalchemy import Connection, Select, insert, literal, select, tuple_, update

from service.domain.order import Item, StockLevel
from service.planning.orders.moving import Movement
from service.store.audit.noting import Noted, note
from service.store.errors import NotFound
from service.store.orders.errors import Held
from service.store.orders.tables import StockRow, StoreroomRow
from service.store.tables import Code
from service.store.teams import mine
from service.store.text import keepable

_MILLIONTH = Decimal("0.000001")
_AT_ONCE = 400
_table = StockRow.__table__
_columns = [_table.c[name] for name in ("kind", "code", "on_hand", "held", "revision")]
_this = (_table.c.kind, _table.c.code)


def lock(connection: Connection) -> None:
    """Let no one else change the stock or make an order before this transaction ends."""
    connection.execute(select(StoreroomRow.team).where(mine(connection, StoreroomRow)).with_for_update())


def levels(connection: Connection, items: Iterable[Item]) -> dict[Item, StockLevel]:
    """What lies in the store of these items; those that were never there are left out."""
    wanted, found = sorted(item for item in items if keepable(item.code)), {}
    for start in range(0, len(wanted), _AT_ONCE):
        keys = [tuple(item) for item in wanted[start : start + _AT_ONCE]]
        for row in connection.execute(select(*_columns).where(mine(connection, _table), tuple_(*_this).in_(keys))):
            level = _level(row)
            found[level.item] = level
    return found


def of_code(connection: Connection, code: str) -> list[StockLevel]:
    """The levels of all kinds of items that have this code."""
    if not keepable(code):
        return []
    query = select(*_columns).where(mine(connection, _table), _table.c.code == code).order_by(_table.c.kind)
    return [_level(row) for row in connection.execute(query)]


def fetch(connection: Connection, item: Item) -> StockLevel:
    """The level of an item; raises ``NotFound`` where there was never any."""
    found = levels(connection, [item]).get(item)
    if found is None:
        raise NotFound(f"There was never any {item.code} in stock.")
    return found


def listed(connection: Connection, limit: int, after: tuple[str, str] | None, kind: str | None) -> list[StockLevel]:
    """Up to ``limit`` levels by code and kind, from behind the code and kind ``after``."""
    query: Select[Any] = select(*_columns).where(mine(connection, _table))
    if after is not None:
        if not all(keepable(text) for text in after):
            return []
        query = query.where(tuple_(_table.c.code, _table.c.kind) > tuple_(literal(after[0], Code), literal(after[1])))
    if kind is not None:
        query = query.where(_table.c.kind == kind)
    return [_level(row) for row in connection.execute(query.order_by(_table.c.code, _table.c.kind).limit(limit))]


def move(connection: Connection, movements: Iterable[Movement]) -> None:
    """Carry out movements, behind the lock. Raises ``Held`` where more would be held than there is."""
    movements = tuple(movements)
    before = levels(connection, (movement.item for movement in movements))
    for movement in movements:
        item = movement.item
        level = before.get(item, StockLevel(item, Decimal(0), Decimal(0), 0))
        on_hand, held = level.on_hand + movement.on_hand, level.held + movement.held
        write(connection, StockLevel(item, on_hand, held, level.revision + 1), "move")


def write(connection: Connection, level: StockLevel, operation: str = "count") -> None:
    """Store a level at its revision, the first of which makes it; ``operation`` is what goes on record.

    Raises ``Held`` where more is held than there is.
    """
    if not 0 <= level.held <= level.on_hand:
        raise Held(level.item)
    values = {"on_hand": _millionths(level.on_hand), "held": _millionths(level.held), "revision": level.revision}
    if level.revision == 1:
        connection.execute(insert(StockRow), {**level.item._asdict(), **values})
    else:
        this = (mine(connection, _table), _table.c.kind == level.item.kind, _table.c.code == level.item.code)
        connection.execute(update(StockRow).where(*this), values)
    before = None if level.revision == 1 else level.revision - 1
    note(connection, Noted(operation, "stock", level.item.code, before, level.revision))


def available(known: Mapping[Item, StockLevel]) -> dict[Item, Decimal]:
    """What no order holds, by item."""
    return {item: level.available for item, level in known.items()}


def _level(row: Sequence[Any]) -> StockLevel:
    kind, code, on_hand, held, revision = row
    return StockLevel(Item(kind, code), on_hand * _MILLIONTH, held * _MILLIONTH, revision)


def _millionths(quantity: Decimal) -> int:
    return int(quantity.scaleb(6))
