"""The sheets of a workbook that somebody typed into, row by row, with what is odd about them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any, TypeVar
from warnings import catch_warnings, simplefilter

from service.sheets.counted_archive import TOO_MUCH, CountedArchive, TooMuch, opened_workbook
from service.sheets.schedule.opening import NotAWorkbook, insist_on_safe
from service.sheets.tabular.cells import Odd
from service.sheets.tabular.rows import COLUMNS_MOST, LOWEST, CellFault, NotATable, SheetRead, SheetRow

Item = TypeVar("Item")

OWN = "-"
"""What the name of a sheet begins with that is not to be read."""

_MERGED = re.compile(rb'<mergeCell ref="([A-Z]{1,3})([0-9]{1,7}):')
_MERGED_TOLD, _TAG_MOST = 100, 64
_BLOCK = 64 * 1024
_BEYOND = 3
"""How many columns beyond the headings are looked at, for what stands there by mistake."""

_FORMULA = Odd("formula", "This is a formula. Put in what it comes to: copy it and paste the values.")
_DAY = Odd("day", "The spreadsheet has made a day or time of this. Format the column as text and type it again.")
_ERROR = Odd("error", "This is an error of the spreadsheet.")
_HIDDEN = "This sheet is hidden. Show it or remove it, so that nothing is taken that nobody sees."


def workbook_sheets(content: bytes) -> Iterator[SheetRead]:
    """The sheets of a workbook in their order, but for those whose names begin with a dash.

    Raises ``NotATable``, also while they and their rows are gone through.
    """
    return _careful(_opened(content))


def _opened(content: bytes) -> Iterator[SheetRead]:
    insist_on_safe(content)
    with catch_warnings():
        # What the reader does not know (colour schemes, extensions) is none of our business.
        simplefilter("ignore")
        book, archive = opened_workbook(content)
    with archive:
        yield from _sheets(book, archive)


def _careful(items: Iterator[Item]) -> Iterator[Item]:
    """The same items; whatever the reader stumbles over is told as a file that cannot be read."""
    while True:
        try:
            item = next(items)
        except StopIteration:
            return
        except NotATable:
            raise
        except NotAWorkbook as error:
            raise NotATable("no_workbook", str(error)) from None
        except TooMuch:
            raise NotATable("too_much", TOO_MUCH) from None
        except Exception as error:
            # A dozen kinds, from KeyError to the XML parser's own.
            raise NotATable("no_workbook", "This workbook cannot be read: it is damaged, or no XLSX.") from error
        yield item


def _sheets(book: Any, archive: CountedArchive) -> Iterator[SheetRead]:
    for order, sheet in enumerate(book.worksheets):
        if sheet.title.startswith(OWN):
            continue
        faults = list(_merged(archive, sheet, order))
        if sheet.sheet_state != "visible":
            faults.append(CellFault(order, 1, 0, sheet.title, "", "hidden", _HIDDEN))
        sheet.reset_dimensions()
        first = next(_rows(sheet, COLUMNS_MOST), SheetRow(1, ()))
        head = [_heading(cell) for cell in first.cells]
        while head and not head[-1]:
            head.pop()
        rows = _careful(_rows(sheet, len(head) + _BEYOND))
        next(rows, None)
        yield SheetRead(sheet.title, tuple(head), rows, tuple(faults))


def _rows(sheet: Any, columns: int) -> Iterator[SheetRow]:
    """The rows of a sheet; where one says that it is far below the one before it, those between come as empty ones."""
    for number, row in enumerate(sheet.iter_rows(max_col=columns), 1):
        if number > LOWEST:
            raise NotATable("too_many_rows", f"Sheet {sheet.title} goes on below row {LOWEST}.")
        yield SheetRow(number, [_cell(cell) for cell in row])


def _cell(cell: Any) -> object:
    value = cell.value
    if value is None:
        return None
    if cell.data_type == "f":
        return _FORMULA
    if cell.data_type == "e":
        return _ERROR
    if isinstance(value, datetime | date | time | timedelta):
        return _DAY
    # Excel writes an underscore so where it could be taken for the code of a letter.
    return value.replace("_x005F_", "_") if isinstance(value, str) else value


def _heading(cell: object) -> str:
    return "" if cell is None or isinstance(cell, Odd) else str(cell).strip()


def _merged(archive: CountedArchive, sheet: Any, order: int) -> Iterator[CellFault]:
    """Cells that are merged: what stands in all but the first of them is lost, so that is not guessed at."""
    with archive.open(sheet._worksheet_path.lstrip("/")) as part:
        held, told = b"", 0
        while block := part.read(_BLOCK):
            held += block
            for letters, row in _MERGED.findall(held):
                told += 1
                if told > _MERGED_TOLD:
                    return
                detail = "Cells are merged here. Part them, and fill in every one of them."
                yield CellFault(order, int(row), _place(letters), sheet.title, "", "merged", detail)
            # What has come of the tag that the block ends in, which is no longer than this.
            held = held[max(held.rfind(b"<"), len(held) - _TAG_MOST) :]


def _place(letters: bytes) -> int:
    place = 0
    for letter in letters:
        place = place * 26 + letter - 64
    return place - 1
