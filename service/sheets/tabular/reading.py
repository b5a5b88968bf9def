"""Files read as entries: which columns there are, and every row brought to its entry, with all faults on the way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from service.sheets.tabular.cells import NotReadable, bare, value_in
from service.sheets.tabular.csv_rows import csv_sheet
from service.sheets.tabular.entries import At, Entry, Item, Layout, put
from service.sheets.tabular.rows import EXPLAINS, ROWS_MOST, CellFault, NotATable, SheetRead
from service.sheets.tabular.shape import Column, Sheet, Table
from service.sheets.tabular.xlsx_rows import workbook_sheets

FAULTS_MOST = 1_000
"""Reading ends where there are so many faults: whoever has them mends the first ones first."""

NOTHING = "-"
"""Said alone in the first column of a list, that the list is empty."""


@dataclass(slots=True)
class TablesRead:
    """What a file says: the entries of each kind in the order in which they come, and what is wrong with it."""

    entries: dict[str, dict[str, Entry]] = field(default_factory=dict)
    faults: list[CellFault] = field(default_factory=list)

    @property
    def count(self) -> int:
        """How many entries there are."""
        return sum(map(len, self.entries.values()))


class TooManyFaults(Exception):
    """Reading need not go on."""


def read_workbook(content: bytes, tables: Sequence[Table]) -> TablesRead:
    """Read a workbook with the sheets of these tables, any of which may be missing. Raises ``NotATable``."""
    by_name = {sheet.name: (table, sheet) for table in tables for sheet in table.sheets}
    read, rows, seen = TablesRead({table.kind: {} for table in tables}), [0], False
    try:
        for order, sheet in enumerate(workbook_sheets(content)):
            name = sheet.name.strip().lower()
            if name not in by_name:
                read.faults.append(_unknown_sheet(sheet, order, by_name))
                continue
            seen = True
            table, of = by_name[name]
            read.faults += sheet.faults
            _Reader(table, (of,), sheet, order, read, rows, distinct=of.member is None).read()
    except TooManyFaults:
        pass
    if not seen and not read.faults:
        raise NotATable("no_sheet", f"The workbook has none of the sheets {', '.join(by_name)}.")
    return read


def read_csv(content: bytes, table: Table) -> TablesRead:
    """Read CSV of one table: the columns of all its sheets side by side. Raises ``NotATable``."""
    read = TablesRead({table.kind: {}})
    with suppress(TooManyFaults):
        _Reader(table, table.sheets, csv_sheet(content), 0, read, [0], distinct=False).read()
    return read


def _unknown_sheet(sheet: SheetRead, order: int, known: Mapping[str, Any]) -> CellFault:
    near = get_close_matches(sheet.name.lower(), known, 1, 0.5)
    hint = f" Is it {near[0]}?" if near else ""
    detail = f"There is no sheet of this name here.{hint} Begin the name of a sheet of your own with a dash."
    return CellFault(order, 1, 0, sheet.name, "", "unknown_sheet", detail)


@dataclass(slots=True)
class _Found:
    """A column of the file: its place in a row, what it is, and of which sheet."""

    place: int
    column: Column
    sheet: Sheet
    heading: str


class _Reader:
    """Goes through one sheet of a file, which has the columns of one or more ``sheets`` of the table.

    ``distinct``: an entry stands in one row alone. ``rows`` is a count that all sheets of a file share.
    """

    def __init__(
        self,
        table: Table,
        sheets: Sequence[Sheet],
        source: SheetRead,
        order: int,
        read: TablesRead,
        rows: list[int],
        distinct: bool,
    ) -> None:
        self._table, self._sheets, self._source, self._read = table, sheets, source, read
        self._rows, self._distinct = rows, distinct
        self._entries = read.entries[table.kind]
        places: dict[str, int] = {}
        for place, heading in enumerate(source.head):
            places.setdefault(heading.lower(), place)
        self._layout = Layout(order, source.name, places, table.key.heading)
        self._key = places.get(table.key.heading)
        self._columns = list(self._found())
        self._by_sheet = [(sheet, [each for each in self._columns if each.sheet is sheet]) for sheet in sheets]

    def read(self) -> None:
        """Bring every row to its entry."""
        if self._key is None:
            self._fault(1, self._table.key.heading, "no_column", f"The column {self._table.key.heading} is missing.")
            return
        for number, cells in self._source.rows:
            if not any(bare(cell) is not None for cell in cells):
                continue
            if self._key < len(cells) and bare(cells[self._key]) == EXPLAINS:
                continue
            self._rows[0] += 1
            if self._rows[0] > ROWS_MOST:
                raise NotATable("too_many_rows", f"The file has more than {ROWS_MOST} rows.")
            self._row(number, cells, self._key)

    def _found(self) -> Iterator[_Found]:
        """The columns of the file that are known; what is wrong with the others is noted."""
        known = {c.heading.lower(): (c, s) for s in self._sheets for c in s.all_columns}
        seen: set[str] = set()
        for place, heading in enumerate(self._source.head):
            lower = heading.lower()
            if not lower:
                continue
            # Behind the heading of names stands the caller's own word, of which A and a are two.
            whose = [c.heading for c, _ in known.values() if c.names and lower.startswith(f"{c.heading.lower()}.")]
            same = whose[0] + heading[len(whose[0]) :] if whose else lower
            if same in seen:
                self._at_head(place, heading, "duplicate", "A column of this heading stands here already.")
                continue
            seen.add(same)
            if lower == self._table.key.heading:
                continue
            if lower in known and not known[lower][0].names:
                yield _Found(place, *known[lower], known[lower][0].heading)
                continue
            for column, sheet in known.values():
                if column.names and lower.startswith(f"{column.heading.lower()}."):
                    name = heading[len(column.heading) + 1 :]
                    yield _Found(place, column.of_name(name), sheet, heading)
                    break
            else:
                near = get_close_matches(lower, [*known, self._table.key.heading], 1, 0.4)
                hint = f" Is it {near[0]}?" if near else ""
                self._at_head(place, heading, "unknown_column", f"There is no column of this heading here.{hint}")

    def _row(self, number: int, cells: Sequence[object], key_place: int) -> None:
        for place, cell in enumerate(cells[len(self._source.head) :], len(self._source.head)):
            if bare(cell) is not None:
                self._at(number, place, "", "no_heading", "There is no heading over this.")
        key = self._key_in(number, bare(cells[key_place]) if key_place < len(cells) else None)
        if key is None:
            return
        at = At(self._layout, number)
        entry = self._entries.get(key)
        if entry is None:
            entry = self._entries[key] = Entry(key, at)
        for sheet, columns in self._by_sheet:
            given = [(each, bare(cells[each.place]) if each.place < len(cells) else None) for each in columns]
            if sheet.member is None:
                self._own(entry, at, given)
            elif any(cell is not None for _, cell in given):
                self._item(entry, sheet, at, given)

    def _key_in(self, number: int, cell: object) -> str | None:
        heading = self._table.key.heading
        if cell is None:
            self._fault(number, heading, "required", f"The row does not say whose it is: {heading} is empty.")
            return None
        try:
            return str(value_in(cell, self._table.key))
        except NotReadable as error:
            self._fault(number, heading, error.code, str(error))
            return None

    def _own(self, entry: Entry, at: At, given: Sequence[tuple[_Found, object]]) -> None:
        if entry.own is not None:
            if self._distinct:
                detail = f"{entry.key} stands in row {entry.own.row} already."
                self._fault(at.row, self._table.key.heading, "duplicate", detail)
            else:
                self._again(entry, entry.own, at, given)
            return
        entry.own = at
        for found, cell in given:
            value = self._value(at.row, found, cell)
            entry.said[found.column.path] = value

    def _again(self, entry: Entry, own: At, at: At, given: Sequence[tuple[_Found, object]]) -> None:
        """A further row of an entry in CSV may leave its own columns empty, or say the same."""
        for found, cell in given:
            if cell is None:
                continue
            value = self._value(at.row, found, cell)
            if value is not None and value != entry.said[found.column.path]:
                detail = f"Row {own.row} says another thing of {entry.key}. Say it once, or the same in every row."
                self._fault(at.row, found.heading, "contradiction", detail)

    def _item(self, entry: Entry, sheet: Sheet, at: At, given: Sequence[tuple[_Found, object]]) -> None:
        assert sheet.member is not None
        items = entry.lists.setdefault(sheet.member, [])
        told = [cell for _, cell in given if cell is not None]
        if told == [NOTHING] and not items:
            return
        item = self._item_of(entry, sheet, at, given)
        for found, cell in given:
            if cell is None or found.column is _number_of(sheet):
                continue
            value = self._value(at.row, found, cell)
            if value is None or not found.column.path:
                continue
            before = _at_path(item.document, found.column.path)
            if before is not None and before != value:
                detail = f"Row {item.at.row} says another thing of the same one."
                self._fault(at.row, found.heading, "contradiction", detail)
            put(item.document, found.column.path, value)
        if sheet.grouped is not None:
            self._pair(item, sheet, at, given)

    def _item_of(self, entry: Entry, sheet: Sheet, at: At, given: Sequence[tuple[_Found, object]]) -> Item:
        """The item that a row tells of: a new one, or of rows that are put together the one with the same number."""
        assert sheet.member is not None
        number = None
        if sheet.grouped is not None:
            heading = sheet.grouped.number.heading
            cell = next((cell for found, cell in given if found.column is sheet.grouped.number), None)
            if cell is None:
                self._fault(at.row, heading, "required", "This is needed: rows with the same number belong together.")
            else:
                number = self._value(at.row, _Found(0, sheet.grouped.number, sheet, heading), cell)
            # Looked up, not looked for: one entry may have all the rows of a file.
            standing = entry.numbered.get((sheet.member, number)) if number is not None else None
            if standing is not None:
                return standing
        item = Item(at)
        entry.lists[sheet.member].append(item)
        if number is not None:
            entry.numbered[sheet.member, number] = item
        return item

    def _pair(self, item: Item, sheet: Sheet, at: At, given: Sequence[tuple[_Found, object]]) -> None:
        """What a row adds to the mapping of its item."""
        grouped = sheet.grouped
        assert grouped is not None
        said: list[Any] = []
        for column in (grouped.name, grouped.value):
            found, cell = next(((f, c) for f, c in given if f.column is column), (None, None))
            if found is None or cell is None:
                self._fault(at.row, column.heading, "required", "This is needed.")
                return
            said.append(self._value(at.row, found, cell))
        pairs = item.document.setdefault(grouped.member, {})
        if None in said:
            return
        if said[0] in pairs:
            self._fault(at.row, grouped.name.heading, "duplicate", f"{said[0]} is told of this one already.")
        pairs[said[0]] = said[1]

    def _value(self, row: int, found: _Found, cell: object) -> Any:
        """What a cell says; None where it is empty, or cannot be read, which is a fault."""
        if cell is None:
            return None
        try:
            return value_in(cell, found.column)
        except NotReadable as error:
            self._fault(row, found.heading, error.code, str(error))
            return None

    def _fault(self, row: int, heading: str, code: str, detail: str) -> None:
        self._note(self._layout.fault(row, heading, code, detail))

    def _at_head(self, place: int, heading: str, code: str, detail: str) -> None:
        self._at(1, place, heading, code, detail)

    def _at(self, row: int, place: int, heading: str, code: str, detail: str) -> None:
        self._note(CellFault(self._layout.order, row, place, self._layout.name, heading, code, detail))

    def _note(self, fault: CellFault) -> None:
        self._read.faults.append(fault)
        if len(self._read.faults) >= FAULTS_MOST:
            raise TooManyFaults


def _number_of(sheet: Sheet) -> Column | None:
    return None if sheet.grouped is None else sheet.grouped.number


def _at_path(document: Mapping[str, Any], path: Iterable[str]) -> Any:
    found: Any = document
    for name in path:
        found = found.get(name) if isinstance(found, Mapping) else None
    return found
