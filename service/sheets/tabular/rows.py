"""Rows as they come out of a file, and what is wrong with cells, told as the person's spreadsheet counts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from service.sheets.workbook import cell_name

ROWS_MOST = 100_000
"""The rows that one file may have on all its sheets."""

LOWEST = 200_000
"""The lowest row of a sheet that is read, empty ones counted: they are work too, and cost next to nothing to send."""

COLUMNS_MOST = 200

EXPLAINS = "(this row explains)"
"""What stands in the key's column of a row that says what the columns are for; such a row is passed over."""


class NotATable(ValueError):
    """The file cannot be read at all; ``code`` and the message say why."""

    def __init__(self, code: str, detail: str) -> None:
        self.code = code
        super().__init__(detail)


class SheetRow(NamedTuple):
    """A row below the head: its number from 1, and its cells in the order of the head."""

    number: int
    cells: Sequence[object]


@dataclass(frozen=True, slots=True)
class SheetRead:
    """A sheet that is gone through once. ``name`` is empty for CSV, which has but one; ``head`` is its first row.

    ``faults`` are those of the sheet itself, as merged cells.
    """

    name: str
    head: tuple[str, ...]
    rows: Iterator[SheetRow]
    faults: tuple[CellFault, ...] = ()


@dataclass(frozen=True, slots=True, order=True)
class CellFault:
    """What is wrong with a cell. ``row`` counts from 1, ``column`` from 0; ``order`` is the place of its sheet."""

    order: int
    row: int
    column: int
    sheet: str
    heading: str
    code: str
    detail: str

    @property
    def letters(self) -> str:
        """The column as the spreadsheet names it."""
        return cell_name(0, self.column)[:-1]

    @property
    def cell(self) -> str:
        """The cell as the spreadsheet names it, ``F7``."""
        return f"{self.letters}{self.row}"

    @property
    def place(self) -> str:
        """The cell with its sheet, where there are sheets: ``closures!F7``."""
        return f"{self.sheet}!{self.cell}" if self.sheet else self.cell

    @property
    def pointer(self) -> str:
        """The same as a pointer."""
        return f"/{self.sheet}/{self.cell}" if self.sheet else f"/{self.cell}"
