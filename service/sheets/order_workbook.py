"""An order as a workbook: the order itself, a sheet by item, and a sheet by splice point or by source."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.domain.order import Item, Order
from service.sheets.figures import trimmed
from service.sheets.order_facts import facts_of, sources_of
from service.sheets.points_sheet import POINT, points_sheets
from service.sheets.rows import PointRow
from service.sheets.sums import price_sums
from service.sheets.workbook import Book, Cell, Column, column_span

_COLUMNS = (
    Column("Kind", 10),
    Column("Item", 18),
    Column("Title", 44),
    Column("Unit", 9),
    Column("Needed"),
    Column("In boxes"),
    Column("From stock"),
    Column("To buy"),
    Column("Pack of", 9),
    Column("Packs", 9),
    Column("Left over"),
    Column("Price of a pack", 13, True),
    Column("Price", 14, True),
    Column("Currency", 9),
    Column("Spares, pooled", 10),
    Column("Spares, each plan its own", 12),
)
_TITLE, _PRICE, _CURRENCY = 2, 12, 13
_SOURCE = ("No.", "Source", "Plan or takeoff")
_SOURCE_AND_POINT = ("No./place", *POINT[1:])


def order_xlsx(order: Order, points: Iterable[PointRow] | None = None) -> bytes:
    """The workbook of an order; with ``points`` it has a sheet by splice point beside the one by source.

    An order from plans alone has the one sheet by splice point, since every source is one.
    """
    book = Book(f"Order: {order.name}" if order.name else "Order", order.created)
    _front(book, order)
    sheet = book.sheet("By item", _COLUMNS, beside=2)
    for line in order.lines:
        spares = (line.spares.pooled, line.spares.separate) if line.spares else (None, None)
        quantities = [trimmed(each) for each in (line.quantity, line.included, line.from_stock, line.to_buy)]
        packs = (line.pack_of, line.packs, trimmed(line.surplus), line.pack_price, line.price, line.currency)
        sheet.row([line.kind, line.item, line.title, line.unit, *quantities, *packs, *spares])
    price_sums(sheet, _TITLE, _PRICE, _CURRENCY, ((line.price, line.currency) for line in order.lines))
    items = [(Item(line.kind, line.item), line.title) for line in order.lines]
    plans_alone = all(source.kind == "plan" for source in order.sources)
    name = "By splice point" if plans_alone and points is None else "By source"
    points_sheets(book, name, items, (), _source_rows(order), _SOURCE)
    if points is not None:
        currencies = sorted({line.currency for line in order.lines if line.currency is not None})
        heads = POINT if len(order.sources) == 1 else _SOURCE_AND_POINT
        points_sheets(book, "By splice point", items, currencies, points, heads)
    return book.finish()


def _front(book: Book, order: Order) -> None:
    """The order itself: what it is, what it comes to, what it is made from, and what there is to say."""
    sheet = book.sheet("Order", (Column("Order", 22), Column(order.name or order.id, 70, True)))
    for head, text in facts_of(order):
        sheet.row([head, text])
    last = len(order.lines)
    for total in order.totals:
        units, prices = (f"'By item'!{column_span(1, last, place)}" for place in (_CURRENCY, _PRICE))
        quoted = total.currency.replace('"', '""')
        sheet.formula(sheet.next, 1, f'=SUMIF({units},"{quoted}",{prices})', total.price, bold=True)
        sheet.row([f"Sum in {total.currency}"], bold=True)
    for text in sources_of(order):
        sheet.row(["From", text])
    for text in order.notes:
        sheet.row(["Note", text])


def _source_rows(order: Order) -> Iterator[PointRow]:
    """Each source with what it asks for; for a sleeve that has the spares that the source would carry by itself."""
    asked: dict[tuple[str, str], dict[Item, Cell]] = {}
    for line in order.lines:
        for share in line.shares:
            asked.setdefault((share.kind, share.id), {})[Item(line.kind, line.item)] = trimmed(share.quantity)
    for number, source in enumerate(order.sources, 1):
        wants = asked.get((source.kind, source.id), {})
        yield PointRow(number, source.name or source.id, f"{source.kind}:{source.id}", wants)  # type: ignore[arg-type]
