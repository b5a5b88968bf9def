"""Tables as CSV after RFC 4180: commas, line ends of CR and LF, quotes doubled; UTF-8 without a byte order mark.

Numbers have a decimal point and no separators for thousands. Text that a spreadsheet would take for a formula has an
apostrophe before it, since no quoting keeps a spreadsheet from running one; a reader that wants the text as it was
takes a leading apostrophe off.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from service.sheets.safe_text import not_a_formula

Cell = str | int | Decimal | None
_ROWS_AT_ONCE = 1_000


def csv_table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """The whole table; ``head`` names the columns, None is an empty cell."""
    return b"".join(csv_parts(head, rows))


def csv_parts(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> Iterator[bytes]:
    """The table part by part, so that a long one is never whole in memory."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(head)
    for number, row in enumerate(rows, 1):
        writer.writerow([_written(cell) for cell in row])
        if number % _ROWS_AT_ONCE == 0:
            yield text.getvalue().encode()
            text.seek(0)
            text.truncate()
    yield text.getvalue().encode()


def _written(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return not_a_formula(cell)
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)
