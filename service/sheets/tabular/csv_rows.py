"""The rows of a CSV file as spreadsheets and people write it: commas, semicolons or tabs, byte order mark or none."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from service.sheets.tabular.rows import COLUMNS_MOST, LOWEST, NotATable, SheetRead, SheetRow

_DELIMITERS = ",;\t"
_GUARD = re.compile("'(?='*\\s*[=+\\-@\uff1d\uff0b\uff0d\uff20])")
"""The apostrophe that was put before text which a spreadsheet would take for a formula."""


def csv_sheet(content: bytes) -> SheetRead:
    """The file as one sheet. Raises ``NotATable``, also while its rows are gone through."""
    text = _decoded(content)
    delimiter = _delimiter(text)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows = _numbered(reader)
    first = next(rows, None)
    if first is not None and re.fullmatch(r"sep=.?", str(first.cells[0]) if first.cells else ""):
        first = next(rows, None)
    head = tuple(str(cell).strip() for cell in first.cells) if first else ()
    while head and not head[-1]:
        head = head[:-1]
    if not head:
        raise NotATable("no_head", "The file is empty: its first row names the columns.")
    return SheetRead("", head, rows)


def _decoded(content: bytes) -> str:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise NotATable("no_utf8", "The file is in UTF-16. Save it as CSV in UTF-8.")
    if content.startswith(b"PK\x03\x04"):
        raise NotATable("no_csv", "This is a workbook and no CSV. Send it as a workbook.")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        detail = f"Line {row} is not in UTF-8. Save the file as CSV in UTF-8, not in the spreadsheet's own code page."
        raise NotATable("no_utf8", detail) from None


def _delimiter(text: str) -> str:
    """The delimiter that the file names (``sep=;``), or the one that parts its first row most often."""
    first = text.split("\n", 1)[0].strip("\r")
    named = re.fullmatch(r"sep=(.)", first)
    if named and named[1] in _DELIMITERS:
        return named[1]
    outside = re.sub('"[^"]*"', "", first)
    return max(_DELIMITERS, key=outside.count)


def _numbered(reader: Iterator[list[str]]) -> Iterator[SheetRow]:
    number = 0
    try:
        for number, cells in enumerate(reader, 1):
            if number > LOWEST:
                raise NotATable("too_many_rows", f"The file goes on below row {LOWEST}.")
            yield SheetRow(number, [_unguarded(cell) for cell in cells[:COLUMNS_MOST]])
    except csv.Error as error:
        raise NotATable("no_csv", f"Row {number + 1} cannot be read as CSV: {error}.") from None


def _unguarded(cell: str) -> str:
    return _GUARD.sub("", cell, count=1) if cell[:1] == "'" else cell
