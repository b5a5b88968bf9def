"""What a build needs, as a workbook: a sheet by item and a sheet by splice point."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from service.sheets.figures import trimmed
from service.sheets.points_sheet import points_sheets
from service.sheets.rows import ItemRow, PointRow
from service.sheets.sums import price_sums
from service.sheets.workbook import Book, Column

_COLUMNS = (
    Column("Kind", 10),
    Column("Item", 18),
    Column("Title", 44),
    Column("Unit", 9),
    Column("Splice points", 10),
    Column("Quantity"),
    Column("In boxes"),
    Column("Packs"),
    Column("Price", 14, True),
    Column("Currency", 9),
)


def materials_xlsx(name: str, created: datetime, items: Sequence[ItemRow], points: Iterable[PointRow] = ()) -> bytes:
    """The workbook of a build called ``name``; ``points`` are gone through once, row by row.

    Packs and prices are those of the plans, each splice point's packs bought for itself.
    """
    book = Book(f"Materials: {name}" if name else "Materials", created)
    sheet = book.sheet("By item", _COLUMNS, beside=2)
    for row in items:
        quantities = (trimmed(row.quantity), trimmed(row.included), row.packs)
        sheet.row([row.kind, row.code, row.title, row.unit, row.points, *quantities, row.price, row.currency])
    price_sums(sheet, 2, 8, 9, ((row.price, row.currency) for row in items))
    currencies = sorted({row.currency for row in items if row.currency is not None})
    points_sheets(book, "By splice point", [(row.item, row.title) for row in items], currencies, points)
    return book.finish()
