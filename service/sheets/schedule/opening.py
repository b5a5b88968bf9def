"""A workbook that somebody sends: opened with care, and gone through row by row.

A workbook is a zip file of XML. One that unpacks to too much is not opened, and neither is one with formulas where
something is to be filled in: what they come to is only known to who calculates them.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple
from warnings import catch_warnings, simplefilter

from service.sheets.counted_archive import TOO_MUCH, TooMuch, opened_workbook

UNPACKED_MOST = 64 * 1024 * 1024
"""What all parts of a workbook may come to, unpacked, in bytes."""
_PARTS_MOST = 500
_COLUMNS_MOST = 64


class NotAWorkbook(ValueError):
    """What was sent is no workbook that can be read; the message is a sentence."""


class RowRead(NamedTuple):
    """A row below the head: its number as the spreadsheet shows it, and its cells by the name of their column."""

    number: int
    cells: dict[str, object]


def sheet_rows(content: bytes, wanted: Sequence[str], rows_most: int) -> dict[str, tuple[list[str], list[RowRead]]]:
    """The sheets of these names that are there: their heads in order and their rows, empty ones left out.

    Raises ``NotAWorkbook``.
    """
    insist_on_safe(content)
    try:
        with catch_warnings():
            # What the reader does not know (colour schemes, extensions) is none of our business.
            simplefilter("ignore")
            book, archive = opened_workbook(content)
            with archive:
                names = [name for name in wanted if name in book.sheetnames]
                found = {name: _read(_all_rows(book[name]), name, rows_most) for name in names}
    except NotAWorkbook:
        raise
    except TooMuch:
        raise NotAWorkbook(TOO_MUCH) from None
    except Exception as error:
        # The reader raises whatever it stumbles over: a dozen kinds, from KeyError to the XML parser's own.
        raise NotAWorkbook("This workbook cannot be read: it is damaged, or no XLSX.") from error
    return found


def _all_rows(sheet: Any) -> Iterator[tuple[object, ...]]:
    """All rows of a sheet, whatever size it says of itself: some programs write a size that is too small."""
    sheet.reset_dimensions()
    rows: Iterator[tuple[object, ...]] = sheet.iter_rows(max_col=_COLUMNS_MOST, values_only=True)
    return rows


def insist_on_safe(content: bytes) -> None:
    """Raise ``NotAWorkbook`` for what is no workbook, unpacks to too much, is locked, or declares entities."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = archive.infolist()
            if len(parts) > _PARTS_MOST or sum(part.file_size for part in parts) > UNPACKED_MOST:
                raise NotAWorkbook(f"This workbook unpacks to more than {UNPACKED_MOST // 1024**2} MB.")
            if any(part.flag_bits & 1 for part in parts):
                raise NotAWorkbook("This workbook is protected by a password.")
            for part in parts:
                _insist_on_truth(archive, part)
    except NotAWorkbook:
        raise
    except Exception as error:
        raise NotAWorkbook("This is no XLSX workbook.") from error


def _insist_on_truth(archive: zipfile.ZipFile, part: zipfile.ZipInfo) -> None:
    """Refuse a part that declares entities at its head; further down the reader's own parser refuses them."""
    if not part.filename.lower().endswith((".xml", ".rels")):
        return
    with archive.open(part) as stream:
        if b"<!DOCTYPE" in stream.read(4096):
            raise NotAWorkbook("This workbook declares entities, which none needs.")


def _read(rows: Iterator[tuple[object, ...]], name: str, rows_most: int) -> tuple[list[str], list[RowRead]]:
    heads = [str(cell).strip() if cell is not None else "" for cell in next(rows, ())]
    found = []
    for number, row in enumerate(rows, 2):
        if number > rows_most + 1:
            raise NotAWorkbook(f"Sheet {name} has more than {rows_most} rows.")
        if any(cell is not None for cell in row):
            found.append(RowRead(number, {head: cell for head, cell in zip(heads, row, strict=False) if head}))
    return heads, found
