"""Documents as rows, the way back of ``reading``: what is written so is read as the same documents again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import zip_longest
from typing import Any

from service.sheets.tabular.reading import NOTHING
from service.sheets.tabular.shape import Column, Sheet, Table

Document = Mapping[str, Any]
Written = str | int | float | Decimal | None
Row = list[Written]


def named(table: Table, documents: Iterable[Document]) -> Table:
    """The table with a column for each name that the documents have where a column stands for names."""
    known = list(documents)
    columns: list[Column] = []
    for column in table.own.columns:
        if not column.names:
            columns.append(column)
            continue
        names = sorted({name for document in known for name in _found(document, column) or ()})
        columns += [column.of_name(name) for name in names]
    return replace(table, own=replace(table.own, columns=tuple(columns)))


def sheet_rows_of(table: Table, sheet: Sheet, documents: Iterable[Document]) -> Iterator[Row]:
    """The rows of one sheet of a workbook, the key first."""
    for document in documents:
        key = document[table.key.path[0]]
        if sheet.member is None:
            yield [key, *_cells(sheet.columns, document)]
        else:
            for cells in _items(sheet, document):
                yield [key, *cells]


def wide_head(table: Table) -> list[str]:
    """The headings of CSV, which has the columns of all sheets side by side."""
    return [table.key.heading, *(column.heading for sheet in table.sheets for column in sheet.all_columns)]


def wide_rows(table: Table, documents: Iterable[Document]) -> Iterator[Row]:
    """The rows of CSV: as many for a document as its longest list has, its own cells in the first of them."""
    for document in documents:
        parts: list[Sequence[Row]] = [[_cells(table.own.columns, document)]]
        parts += [list(_items(sheet, document)) for sheet in table.lists]
        empty = [[None] * len(sheet.all_columns) for sheet in table.sheets]
        for cells in zip_longest(*parts):
            row: Row = [document[table.key.path[0]]]
            for each, blank in zip(cells, empty, strict=True):
                row += blank if each is None else each
            yield row


def _items(sheet: Sheet, document: Document) -> Iterator[Row]:
    """The cells of a list's items; a list that is empty, which is not the same to every reader, is said to be."""
    assert sheet.member is not None
    items = document.get(sheet.member)
    width = len(sheet.all_columns)
    if not items:
        if sheet.grouped is None:
            yield [NOTHING, *[None] * (width - 1)]
        return
    for number, item in enumerate(items, 1):
        cells = _cells(sheet.columns, item)
        if sheet.grouped is None:
            yield cells
            continue
        for place, (name, value) in enumerate(sorted(item[sheet.grouped.member].items())):
            yield [number, *(cells if place == 0 else [None] * len(cells)), name, value]


def _cells(columns: Sequence[Column], document: Document) -> Row:
    return [_written(_found(document, column), column) for column in columns]


def _found(document: Document, column: Column) -> Any:
    found: Any = document
    for name in column.path:
        found = found.get(name) if isinstance(found, Mapping) else None
    return found


def _written(value: Any, column: Column) -> Written:
    if value is None:
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    if column.value == "list":
        return ", ".join(value)
    if column.value == "money":
        # With two decimals a number says the same as the text, and can be added up.
        return Decimal(value) if value[-3:-2] == "." else value
    assert isinstance(value, str | int | float)
    return value
