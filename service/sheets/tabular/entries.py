"""Entries as they grow out of rows: what the file says of each document, and where it says so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from service.sheets.tabular.rows import CellFault
from service.sheets.tabular.shape import Path, Sheet, Table

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the columns of a sheet are in the file: ``order`` among its sheets, its name, and each heading's place."""

    order: int
    name: str
    places: Mapping[str, int]
    key: str

    def fault(self, row: int, heading: str, code: str, detail: str) -> CellFault:
        """A fault in a row, under a heading, or in the key's column where the sheet has no such heading."""
        column = self.places.get(heading.lower(), self.places.get(self.key, 0))
        return CellFault(self.order, row, column, self.name, heading, code, detail)


class At(NamedTuple):
    """A row of a sheet in the file."""

    layout: Layout
    row: int


@dataclass(slots=True)
class Item:
    """An item of a list: its members, and the row that it began in."""

    at: At
    document: Document = field(default_factory=dict)


@dataclass(slots=True)
class Entry:
    """What a file says of one document.

    ``said`` are its own members by their way, None where a cell was left empty; ``own`` is the row that says them,
    None where it stands on the sheets of its lists alone. A list that has no rows in the file is not in ``lists``; one
    that is said to be empty is.
    """

    key: str
    first: At
    own: At | None = None
    said: dict[Path, Any] = field(default_factory=dict)
    lists: dict[str, list[Item]] = field(default_factory=dict)
    numbered: dict[tuple[str, int], Item] = field(default_factory=dict)

    def over(self, table: Table, standing: Mapping[str, Any] | None = None) -> Document:
        """The document that comes of it, over the one that there is: what the file does not say of it stays."""
        document: Document = deepcopy(dict(standing)) if standing else {}
        document[table.key.path[0]] = self.key
        for path, value in self.said.items():
            put(document, path, value)
        for member, items in self.lists.items():
            if items or table.is_needed(member):
                document[member] = [item.document for item in items]
            elif document.get(member):
                del document[member]
        return document

    def fault(self, table: Table, pointer: str, code: str, detail: str) -> CellFault:
        """The fault at a pointer into the document, as one of the cell that it came from."""
        way = tuple(part.replace("~1", "/").replace("~0", "~") for part in pointer.split("/")[1:])
        sheet = table.list_of(way[0]) if way else None
        if sheet is None:
            at = self.own or self.first
            return at.layout.fault(at.row, _heading(table.own, way, table.key.heading), code, detail)
        items = self.lists.get(way[0], ())
        number = int(way[1]) if len(way) > 1 and way[1].isdigit() else -1
        if not 0 <= number < len(items):
            if len(way) == 1 and not items:
                detail = f"{detail} {_where_to_say(sheet)}"
            return self.first.layout.fault(self.first.row, table.key.heading, code, detail)
        at = items[number].at
        return at.layout.fault(at.row, _heading(sheet, way[2:], table.key.heading), code, detail)


def put(document: Document, path: Path, value: Any) -> None:
    """Set a member by its way, or take it away where the value is None."""
    *way, last = path
    inner = document
    for name in way:
        if value is None and name not in inner:
            return
        inner = inner.setdefault(name, {})
    if value is not None:
        inner[last] = value
        return
    if inner.pop(last, None) is not None and way and not inner:
        put(document, tuple(way), None)


def _where_to_say(sheet: Sheet) -> str:
    """Where a list is said that the file says nothing of: the cell that is pointed at is of another column."""
    return f"It is {sheet.member}: rows on the sheet {sheet.name}, in CSV the columns that begin with {sheet.member}."


def _heading(sheet: Sheet, way: Path, key: str) -> str:
    """The heading of the column that a way leads to: the one it names, or the first of those within it."""
    columns = list(_fitting(sheet, way))
    return columns[0] if columns else key


def _fitting(sheet: Sheet, way: Path) -> Iterator[str]:
    if not way:
        return
    for column in sheet.columns:
        if column.path == way or (not column.names and column.path[: len(way)] == way):
            yield column.heading
        elif column.names and way[: len(column.path)] == column.path and len(way) > len(column.path):
            yield f"{column.heading}.{way[len(column.path)]}"
    if sheet.grouped is not None and way[0] == sheet.grouped.member:
        yield sheet.grouped.value.heading
