"""Sums at the foot of a sheet, as formulas."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from service.sheets.workbook import Sheet, column_span


def price_sums(
    sheet: Sheet, label: int, price: int, currency: int, priced: Iterable[tuple[Decimal | None, str | None]]
) -> None:
    """A sum for each currency under the rows of a sheet; ``label``, ``price`` and ``currency`` are columns.

    ``priced`` are the prices and currencies of these rows, from which the sums' values are worked out.
    """
    totals: dict[str, Decimal] = {}
    for amount, unit in priced:
        if amount is not None and unit is not None:
            totals[unit] = totals.get(unit, Decimal(0)) + amount
    first, last = sheet.first, sheet.next - 1
    for unit, total in sorted(totals.items()):
        row = sheet.next
        cells: list[str | None] = [None] * (max(label, currency) + 1)
        cells[label], cells[currency] = f"Sum in {unit}", unit
        quoted = unit.replace('"', '""')
        formula = f'=SUMIF({column_span(first, last, currency)},"{quoted}",{column_span(first, last, price)})'
        sheet.formula(row, price, formula, total, bold=True)
        sheet.row(cells, bold=True)
