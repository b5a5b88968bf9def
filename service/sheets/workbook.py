"""A workbook under construction: rows go out as they come, so that long sheets are never whole in memory.

The same rows make the same bytes: the date of creation is given, and nothing else in the file depends on the day.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import UTC, datetime
from decimal import Decimal
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from service.sheets.safe_text import plain_text
from service.sheets.xlsx_writing import begun

if TYPE_CHECKING:
    from xlsxwriter.format import Format

ROWS_MOST = 1_048_576
_LETTERS_MOST = 32_767
_LINE = 15

Cell = str | int | Decimal | None
_STYLES: dict[str, dict[str, Any]] = {
    "text": {"indent": 1},
    "whole": {"num_format": "#,##0"},
    "broken": {"num_format": "#,##0.0#####"},
    "money": {"num_format": "#,##0.00"},
    "head": {
        "bold": True,
        "text_wrap": True,
        "valign": "top",
        "align": "left",
        "indent": 1,
        "bottom": 1,
        "bg_color": "#E8E8E8",
    },
    # A cell to be filled in has a frame, so that it shows on paper too.
    "blank": {"border": 1, "bg_color": "#FFFBE0"},
    "day": {"border": 1, "bg_color": "#FFFBE0", "num_format": "yyyy-mm-dd"},
}


class Filled(NamedTuple):
    """What may be filled in in a column: text, a day, or a number from ``least`` to ``most``, ``whole`` or not."""

    of: Literal["text", "day", "number", "whole"]
    least: float = 0
    most: float = 0


class Column(NamedTuple):
    """A column: its head, its width in letters, whether its numbers are money, and what may be filled in there."""

    head: str
    width: float = 12
    money: bool = False
    filled: Filled | None = None


class Book:
    """A workbook; ``created`` is written into it as its date."""

    def __init__(self, title: str, created: datetime) -> None:
        self._bytes = io.BytesIO()
        naive = created.astimezone(UTC).replace(tzinfo=None, microsecond=0)
        self._book = begun(self._bytes, {"title": plain_text(title), "created": naive})
        self._formats: dict[tuple[str, bool], Format] = {}

    def sheet(self, name: str, columns: Sequence[Column], under_head: Sequence[str] = (), beside: int = 0) -> Sheet:
        """A new sheet with a frozen head of one row, or of two, and ``beside`` frozen columns."""
        return Sheet(self, self._book.add_worksheet(name), columns, under_head, beside)

    def style(self, name: str, bold: bool = False) -> Format:
        """A format by name: ``text``, ``whole``, ``broken``, ``money``, ``head``."""
        if (name, bold) not in self._formats:
            self._formats[name, bold] = self._book.add_format({**_STYLES[name], **({"bold": True} if bold else {})})
        return self._formats[name, bold]

    def finish(self) -> bytes:
        """Close the workbook and give its bytes."""
        self._book.close()
        return self._bytes.getvalue()


class Sheet:
    """A sheet that is written row by row; ``next`` is the number of the next row, counted from 0."""

    def __init__(
        self, book: Book, sheet: Any, columns: Sequence[Column], under_head: Sequence[str], beside: int
    ) -> None:
        self._book, self._sheet, self._columns = book, sheet, columns
        for place, column in enumerate(columns):
            sheet.set_column(place, place, column.width)
        heads = [[column.head for column in columns], list(under_head)] if under_head else [[c.head for c in columns]]
        sheet.freeze_panes(len(heads), beside)
        sheet.repeat_rows(0, len(heads) - 1)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        self.next = 0
        for cells in heads:
            sheet.set_row(
                self.next, _LINE * max(_lines(text, columns[place].width) for place, text in enumerate(cells))
            )
            for place, text in enumerate(cells):
                sheet.write_string(self.next, place, plain_text(text), book.style("head"))
            self.next += 1
        self.first = self.next

    def row(self, cells: Sequence[Cell], bold: bool = False) -> None:
        """Write a row; None leaves a cell empty, framed where it may be filled in. Text stays text."""
        for place, cell in enumerate(cells):
            filled = self._columns[place].filled
            if filled is not None:
                self._blank(place, filled, cell)
            elif isinstance(cell, str):
                text = plain_text(cell)[:_LETTERS_MOST]
                self._sheet.write_string(self.next, place, text, self._book.style("text", bold))
            elif cell is not None:
                self._sheet.write_number(self.next, place, float(cell), self._number(place, cell, bold))
        self.next += 1

    def checked(self) -> None:
        """Let the columns to be filled in take what they are for alone, from the first row to the last written."""
        for place, column in enumerate(self._columns):
            if column.filled is None or column.filled.of in ("text", "day") or self.next <= self.first:
                continue
            of, least, most = column.filled
            told = f"Here belongs a{' whole' if of == 'whole' else ''} number from {least:g} to {most:g}."
            allowed = {
                "validate": "integer" if of == "whole" else "decimal",
                "criteria": "between",
                "minimum": int(least) if of == "whole" else least,
                "maximum": int(most) if of == "whole" else most,
                "error_title": column.head[:32],
                "error_message": told,
            }
            self._sheet.data_validation(self.first, place, self.next - 1, place, allowed)

    def _blank(self, place: int, filled: Filled, cell: Cell) -> None:
        """A cell to be filled in, with what stands there already where there is something."""
        style = self._book.style("day" if filled.of == "day" else "blank")
        if cell is None:
            self._sheet.write_blank(self.next, place, None, style)
        elif isinstance(cell, str):
            self._sheet.write_string(self.next, place, plain_text(cell)[:_LETTERS_MOST], style)
        else:
            self._sheet.write_number(self.next, place, float(cell), style)

    def formula(self, row: int, place: int, formula: str, value: int | Decimal, bold: bool = False) -> None:
        """Write a formula with the value that it has, so that readers that do not calculate show the right one.

        Rows go out as they come: ``row`` is the next one, or one that nothing was written behind.
        """
        self._sheet.write_formula(row, place, formula, self._number(place, value, bold), float(value))

    def _number(self, place: int, number: int | Decimal, bold: bool) -> Format:
        if self._columns[place].money:
            return self._book.style("money", bold)
        return self._book.style("whole" if number == int(number) else "broken", bold)


def _lines(text: str, width: float) -> int:
    """How many lines a head takes in a column, near enough; four at most."""
    return min(4, sum(1 + len(word) // max(1, int(width) - 2) for word in wrap(text, max(2, int(width) - 2))) or 1)


def cell_name(row: int, place: int) -> str:
    """A cell as formulas name it: ``B7``."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{row + 1}"


def column_span(first: int, last: int, place: int) -> str:
    """The cells of a column from one row to another: ``B2:B7``."""
    return f"{cell_name(first, place)}:{cell_name(last, place)}"
