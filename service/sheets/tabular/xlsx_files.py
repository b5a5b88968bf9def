"""Tables as workbooks to type into: what there is, and templates with examples on sheets that are not read."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from service.sheets.safe_text import plain_text
from service.sheets.tabular.rows import EXPLAINS
from service.sheets.tabular.rows_of import Document, Row, Written, named, sheet_rows_of
from service.sheets.tabular.shape import Column, Sheet, Table
from service.sheets.xlsx_writing import begun

if TYPE_CHECKING:
    from xlsxwriter.format import Format

_MADE = datetime(2026, 1, 1)
"""The date of every such workbook, so that the same catalogue makes the same bytes."""

_ROWS_READY = 5_000
"""The rows that have their lists to choose from, whether they are filled or not."""

_TEXT = frozenset({"text", "choice", "yes_no", "list", "number_or_text"})
_KEY, _NARROW, _WIDE, _LETTERS_MOST = 20, 11, 44, 32_767
_SENTENCES = (("title",), ("notes",))
_STYLES: dict[str, dict[str, Any]] = {
    "head": {"bold": True, "bottom": 1, "bg_color": "#E8E8E8", "valign": "top", "text_wrap": True},
    "needed": {"bold": True, "bottom": 1, "bg_color": "#FFE9A8", "valign": "top", "text_wrap": True},
    "told": {"italic": True, "font_size": 8, "font_color": "#404040", "valign": "top", "text_wrap": True},
    # Text stays text: 0012 keeps its noughts, and 1-12 does not become a day.
    "text": {"num_format": "@"},
    "number": {"num_format": "General"},
    "money": {"num_format": "0.00"},
}


def xlsx_file(
    tables: Sequence[Table],
    documents: Mapping[str, Iterable[Document]],
    examples: Mapping[str, Iterable[Document]] | None = None,
) -> bytes:
    """A workbook with a sheet a list, each with a head, a row that explains, and the documents by their table's kind.

    ``examples`` stand on sheets of the same shape behind them, which are not read.
    """
    book = _Workbook()
    kept = {table.kind: list(documents.get(table.kind, ())) for table in tables}
    shown = {kind: list(each) for kind, each in (examples or {}).items()}
    tables = [named(table, [*kept[table.kind], *shown.get(table.kind, ())]) for table in tables]
    for table in tables:
        for sheet in table.sheets:
            book.sheet(sheet.name, table, sheet, sheet_rows_of(table, sheet, kept[table.kind]))
    for table in tables:
        for sheet in table.sheets if shown.get(table.kind) else ():
            book.sheet(f"-{sheet.name} example", table, sheet, sheet_rows_of(table, sheet, shown[table.kind]))
    return book.finish()


class _Workbook:
    """A workbook under construction, written row by row."""

    def __init__(self) -> None:
        self._bytes = io.BytesIO()
        self._book = begun(self._bytes, {"created": _MADE})
        self._formats: dict[str, Format] = {name: self._book.add_format(style) for name, style in _STYLES.items()}

    def sheet(self, name: str, table: Table, of: Sheet, rows: Iterable[Row]) -> None:
        """A sheet with these rows."""
        columns = (table.key, *of.all_columns)
        sheet = self._book.add_worksheet(name)
        sheet.freeze_panes(2, 1)
        sheet.set_landscape()
        # Wide sheets go on over several pages, with the head and the key on each: on one page nobody could read them.
        sheet.repeat_rows(0, 1)
        sheet.repeat_columns(0)
        for place, column in enumerate(columns):
            sheet.set_column(place, place, _width(column, place == 0), self._formats[_style(column)])
            self._choices(sheet, place, column)
        sheet.set_row(1, 12 * 5)
        for place, column in enumerate(columns):
            sheet.write_string(0, place, column.heading, self._formats["needed" if column.needed else "head"])
        for place, column in enumerate(columns):
            sheet.write_string(1, place, EXPLAINS if place == 0 else column.told, self._formats["told"])
        for number, row in enumerate(rows, 2):
            for place, (cell, column) in enumerate(zip(row, columns, strict=True)):
                self._write(sheet, number, place, cell, column)

    def _choices(self, sheet: Any, place: int, column: Column) -> None:
        choices = ["yes", "no"] if column.value == "yes_no" else list(column.choices)
        if choices:
            told = {"error_title": "One of these", "error_message": ", ".join(choices)[:255]}
            allowed = {"validate": "list", "source": choices, **told}
            sheet.data_validation(2, place, 1 + _ROWS_READY, place, allowed)

    def _write(self, sheet: Any, row: int, place: int, cell: Written, column: Column) -> None:
        style = self._formats[_style(column)]
        if isinstance(cell, str):
            sheet.write_string(row, place, plain_text(cell)[:_LETTERS_MOST], style)
        elif cell is not None and float(f"{float(cell):.16G}") == float(cell):
            sheet.write_number(row, place, float(cell), style)
        elif cell is not None:
            # A workbook's numbers have sixteen digits; what needs one more is written out.
            sheet.write_string(row, place, str(cell), style)

    def finish(self) -> bytes:
        """Close the workbook and give its bytes."""
        self._book.close()
        return self._bytes.getvalue()


def _width(column: Column, is_key: bool) -> float:
    """A width in letters: the heading fits on a line, what explains it on five, and sentences have room."""
    if column.path[-1:] in _SENTENCES:
        return _WIDE
    return max(_KEY if is_key else _NARROW, min(_WIDE, len(column.heading) + 3, 40), min(_WIDE, len(column.told) / 4))


def _style(column: Column) -> str:
    if column.value in _TEXT:
        return "text"
    return "money" if column.value == "money" else "number"
