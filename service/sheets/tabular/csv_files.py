"""Tables as CSV files: what there is, and templates to begin from."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from decimal import Decimal

from service.sheets.safe_text import not_a_formula, plain_text
from service.sheets.tabular.rows import EXPLAINS
from service.sheets.tabular.rows_of import Document, Written, named, wide_head, wide_rows
from service.sheets.tabular.shape import Table


def csv_file(table: Table, documents: Iterable[Document]) -> bytes:
    """Documents as CSV after RFC 4180, UTF-8, with the row that explains under its head.

    Text that a spreadsheet would take for a formula has an apostrophe before it, which reading takes away again.
    """
    kept = list(documents)
    table = named(table, kept)
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(wide_head(table))
    writer.writerow([EXPLAINS, *(column.told for sheet in table.sheets for column in sheet.all_columns)])
    writer.writerows([_written(cell) for cell in row] for row in wide_rows(table, kept))
    return text.getvalue().encode()


def _written(cell: Written) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        # An apostrophe of its own that looks like the guard gets one more, so that taking one away gives it back.
        bare = cell.lstrip("'")
        guarded = cell[:1] == "'" and not_a_formula(bare) != plain_text(bare)
        return f"'{plain_text(cell)}" if guarded else not_a_formula(cell)
    return f"{cell:f}" if isinstance(cell, Decimal) else repr(cell)
