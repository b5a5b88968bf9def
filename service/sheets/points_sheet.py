"""The sheet by splice point: a row each, a column an item, the sums at the foot."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from service.domain.order import Item
from service.sheets.rows import PointRow
from service.sheets.workbook import ROWS_MOST, Book, Cell, Column, Sheet, column_span

POINT = ("Place", "Splice point", "Closure")
_WIDTHS = (8, 32, 16)


def points_sheets(
    book: Book,
    name: str,
    items: Sequence[tuple[Item, str]],
    currencies: Sequence[str],
    points: Iterable[PointRow],
    heads: Sequence[str] = POINT,
    rows_most: int = ROWS_MOST - 1,
) -> None:
    """Write the points to a sheet, and to further ones where one does not take so many rows.

    ``items`` are the columns, each with its title, behind place, name and closure with the ``heads`` given; ``points``
    are gone through once. Raises ``KeyError`` for a point that needs an item, or has a price in a currency, that has no
    column.
    """
    left = len(heads)
    columns = [Column(head, width) for head, width in zip(heads, _WIDTHS, strict=True)]
    columns += [Column(f"Price {unit}", 13, True) for unit in currencies]
    columns += [Column(item.code, 13) for item, _ in items]
    titles = ["", "", "", *("its packs by themselves" for _ in currencies), *(title for _, title in items)]
    place = {item: left + len(currencies) + number for number, (item, _) in enumerate(items)}
    money = {unit: left + number for number, unit in enumerate(currencies)}
    sheet = book.sheet(name, columns, titles, beside=2)
    sums = [Decimal(0)] * len(columns)
    number = 1
    for point in points:
        if sheet.next >= rows_most:
            _foot(sheet, left, sums)
            number += 1
            sheet = book.sheet(f"{name} {number}", columns, titles, beside=2)
            sums = [Decimal(0)] * len(columns)
        cells: list[Cell] = [point.place, point.name, point.closure, *[None] * (len(columns) - left)]
        for unit, amount in point.prices.items():
            cells[money[unit]] = amount
            sums[money[unit]] += amount
        for item, quantity in point.quantities.items():
            cells[place[item]] = quantity
            sums[place[item]] += quantity
        sheet.row(cells)
    _foot(sheet, left, sums)


def _foot(sheet: Sheet, left: int, sums: Sequence[Decimal]) -> None:
    first, last = sheet.first, sheet.next - 1
    if last < first:
        return
    row = sheet.next
    for place in range(left, len(sums)):
        sheet.formula(row, place, f"=SUM({column_span(first, last, place)})", sums[place], bold=True)
    sheet.row([None, "Sum"], bold=True)
