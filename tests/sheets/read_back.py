"""Workbooks read back: their cells, and what their sums come to when somebody calculates them."""

from __future__ import annotations

import io
import re
from typing import Any

from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

_SUM = re.compile(r"=SUM\(([A-Z]+)(\d+):\1(\d+)\)\Z")
_SUMIF = re.compile(r"=SUMIF\((?:'By item'!)?([A-Z]+)(\d+):\1(\d+),\"(.+)\",(?:'By item'!)?([A-Z]+)\2:\5\3\)\Z")


def opened(content: bytes, values: bool = False) -> Workbook:
    """The workbook: its formulas, or with ``values`` what the file says that they come to."""
    return load_workbook(io.BytesIO(content), data_only=values)


def rows(sheet: Worksheet) -> list[tuple[Any, ...]]:
    """All rows of a sheet."""
    return list(sheet.iter_rows(values_only=True))


def sums(content: bytes) -> dict[tuple[str, str], tuple[float, float]]:
    """Each formula by sheet and cell: what the file says that it comes to, and what its cells come to."""
    book, told = opened(content), opened(content, values=True)
    found = {}
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    value = told[sheet.title][cell.coordinate].value
                    found[sheet.title, cell.coordinate] = (value, _calculated(book, sheet, str(cell.value)))
    return found


def _calculated(book: Workbook, sheet: Worksheet, formula: str) -> float:
    if match := _SUM.match(formula):
        column, first, last = match.groups()
        return sum(sheet[f"{column}{row}"].value or 0 for row in range(int(first), int(last) + 1))
    match = _SUMIF.match(formula)
    assert match, formula
    units, first, last, unit, prices = match.groups()
    source = book["By item"] if "By item" in formula else sheet
    return sum(
        source[f"{prices}{row}"].value or 0
        for row in range(int(first), int(last) + 1)
        if source[f"{units}{row}"].value == unit
    )
