"""An order as CSV: a line an item, with the plans and takeoffs that it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from service.domain.order import Order, OrderLine
from service.sheets.csv_table import Cell, csv_table
from service.sheets.figures import trimmed

HEAD = (
    "kind",
    "item",
    "title",
    "unit",
    "quantity",
    "included",
    "from_stock",
    "to_buy",
    "pack_of",
    "packs",
    "surplus",
    "pack_price",
    "price",
    "currency",
    "spares_pooled",
    "spares_separate",
    "retired",
    "sources",
)


def order_csv(order: Order) -> bytes:
    """All lines of the order in its own order; sources as ``plan:ID`` and ``takeoff:ID``, blanks between them."""
    return csv_table(HEAD, (tuple(_cells(line)) for line in order.lines))


def _cells(line: OrderLine) -> Iterator[Cell]:
    yield from (line.kind, line.item, line.title, line.unit)
    for quantity in (line.quantity, line.included, line.from_stock, line.to_buy):
        yield trimmed(quantity)
    yield from (line.pack_of, line.packs, trimmed(line.surplus), line.pack_price, line.price, line.currency)
    yield line.spares.pooled if line.spares else None
    yield line.spares.separate if line.spares else None
    yield "yes" if line.retired else None
    yield " ".join(f"{share.kind}:{share.id}" for share in line.shares)
