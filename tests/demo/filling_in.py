"""Filling in a plan's workbook as a crew does: what was measured and remade, into the columns that are for it.

``python -m tests.demo.filling_in FILLED EMPTY`` copies what is filled in on one workbook onto another of the same
splices, whose own plan number it keeps, so that whoever follows ``demo/second-visit.md`` need not type.
"""

from __future__ import annotations

import io
import re
import sys
import zipfile
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from openpyxl import Workbook, load_workbook

from service.sheets.schedule import filled

Cells = Mapping[tuple[str, int, str], Any]
"""What is filled in: by sheet, row of the sheet and head of the column."""

_FILLED = {filled.SPLICES: filled.FILLED_ON_SPLICES, filled.LOSSES: filled.FILLED_ON_LOSSES}
_FIRST = datetime(1980, 1, 1)
"""The earliest time that a ZIP archive can tell of its parts."""


def filled_in(empty: bytes, cells: Cells, saved: datetime) -> bytes:
    """The workbook with the cells filled in, as if saved at that time: the same cells make the same bytes."""
    book = load_workbook(io.BytesIO(empty))
    for (sheet, row, head), value in cells.items():
        book[sheet].cell(row, _heads(book, sheet).index(head) + 1).value = value
    out = io.BytesIO()
    book.save(out)
    return _dated(out.getvalue(), saved)


def cells_of(content: bytes) -> Cells:
    """What is filled in on a workbook."""
    book = load_workbook(io.BytesIO(content))
    return {
        (sheet, row, head): value
        for sheet, heads in _FILLED.items()
        for head in heads
        for row in range(2, book[sheet].max_row + 1)
        if (value := book[sheet].cell(row, _heads(book, sheet).index(head) + 1).value) is not None
    }


def _heads(book: Workbook, sheet: str) -> Sequence[Any]:
    return [cell.value for cell in book[sheet][1]]


def _dated(content: bytes, saved: datetime) -> bytes:
    """The archive with the times in it set: those of saving are otherwise those of now."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as read, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as written:
        for name in read.namelist():
            part = read.read(name)
            if name == "docProps/core.xml":
                stamp = b"\\g<1>" + saved.strftime("%Y-%m-%dT%H:%M:%SZ").encode()
                part = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", stamp, part)
            info = zipfile.ZipInfo(name, _FIRST.timetuple()[:6])
            info.compress_type = zipfile.ZIP_DEFLATED
            written.writestr(info, part)
    return out.getvalue()


def main(arguments: Sequence[str]) -> None:
    """Copy what is filled in on the first workbook onto the second."""
    done, empty = map(Path, arguments)
    empty.write_bytes(filled_in(empty.read_bytes(), cells_of(done.read_bytes()), _FIRST))


if __name__ == "__main__":
    main(sys.argv[1:])
