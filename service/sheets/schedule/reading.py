"""A filled-in schedule read back as records of splices, each thing with the cell that it came from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeVar

from service.sheets.schedule import filled
from service.sheets.schedule.cells import NotReadable, day_in, number_in, text_in, whole_in
from service.sheets.schedule.opening import NotAWorkbook, RowRead, sheet_rows
from service.sheets.workbook import cell_name

_ROWS_MOST = 200_000
_DIRECTIONS = (
    (filled.FORTH, "measured", "a_to_b"),
    (filled.BACK, "measured", "b_to_a"),
    (filled.ESTIMATED, "estimated", None),
)
Slot = tuple[int, int, int]
"""Tray, bank and slot, each counted from 1."""
Records = dict[Slot, tuple[str, dict[str, Any]]]
"""The records by slot, each with the pointer to it."""
Value = TypeVar("Value")


class SheetFault(NamedTuple):
    """What is wrong with a cell: its sheet, its name as the spreadsheet shows it (``F7``), and a sentence."""

    sheet: str
    cell: str
    detail: str


@dataclass(slots=True)
class FilledSchedule:
    """The records, nearly as ``POST .../splice-records`` takes them, what is wrong, and where each part stands.

    Which splice a record is of stands in it as ``at``: tray, bank and slot. ``plan`` is the number of the plan that the
    workbook was made from, None where it does not say.
    ``places`` leads from a JSON pointer into ``document`` to the cell that it came from, as ``Splices!F7``.
    """

    plan: str | None = None
    document: dict[str, Any] = field(default_factory=lambda: {"records": []})
    faults: list[SheetFault] = field(default_factory=list)
    places: dict[str, str] = field(default_factory=dict)


def read_schedule(content: bytes) -> FilledSchedule:
    """Read the workbook that ``plan_xlsx`` wrote and a crew filled in.

    A splice is told of where anything is filled in for it; remakes left empty are then none. Nothing is taken where
    there is a fault. Raises ``NotAWorkbook``.
    """
    sheets = sheet_rows(content, (filled.PLAN, filled.SPLICES, filled.LOSSES), _ROWS_MOST)
    if filled.SPLICES not in sheets:
        raise NotAWorkbook(f"This workbook has no sheet {filled.SPLICES}.")
    read = FilledSchedule(_plan(sheets.get(filled.PLAN)))
    records: Records = {}
    rows = {name: _Rows(name, *found, read.faults) for name, found in sheets.items()}
    splices = rows[filled.SPLICES]
    if splices.has((*filled.PLACE, *filled.FILLED_ON_SPLICES)):
        for row in splices.rows:
            _splice(splices, row, records, read)
    losses = rows.get(filled.LOSSES)
    if losses is not None and losses.has((*filled.PLACE, filled.POSITION, *filled.FILLED_ON_LOSSES)):
        for row in losses.rows:
            _loss(losses, row, records, read)
    read.document["records"] = [record for _, record in records.values()]
    return read


def _plan(front: tuple[list[str], list[RowRead]] | None) -> str | None:
    """The number of the plan, from the row of the front sheet that has it."""
    for row in front[1] if front else ():
        head, *values = list(row.cells.values()) or [None]
        if head == filled.NUMBER and values and values[0] is not None:
            return str(values[0]).strip()
    return None


@dataclass(slots=True)
class _Rows:
    """The rows of one sheet, and how its cells are named."""

    sheet: str
    heads: list[str]
    rows: list[RowRead]
    faults: list[SheetFault]

    def has(self, wanted: tuple[str, ...]) -> bool:
        """Whether all columns are there; each that is missing is a fault at the head."""
        missing = [head for head in wanted if head not in self.heads]
        self.faults += [SheetFault(self.sheet, "A1", f"The column {head!r} is missing.") for head in missing]
        return not missing

    def cell(self, row: RowRead, head: str) -> str:
        """The name of a cell."""
        return cell_name(row.number - 1, self.heads.index(head))

    def value(self, row: RowRead, head: str, read: Callable[[object], Value]) -> Value | None:
        """What a cell holds; a fault, and None, where it cannot be read."""
        found = row.cells.get(head)
        try:
            if isinstance(found, str) and found.startswith("="):
                raise NotReadable("This is a formula; put in what it comes to.")
            return read(found)
        except NotReadable as error:
            self.faults.append(SheetFault(self.sheet, self.cell(row, head), str(error)))
            return None

    def slot(self, row: RowRead) -> Slot | None:
        """The slot that the row is of, None with a fault where it does not say."""
        before = len(self.faults)
        tray, bank, slot = (self.value(row, head, lambda cell: whole_in(cell, 1, 10_000)) for head in filled.PLACE)
        if tray is not None and bank is not None and slot is not None:
            return tray, bank, slot
        if len(self.faults) == before:
            cell = self.cell(row, filled.PLACE[0])
            self.faults.append(SheetFault(self.sheet, cell, "The row does not say tray, bank and slot."))
        return None


def _splice(rows: _Rows, row: RowRead, records: Records, read: FilledSchedule) -> None:
    told: dict[str, Any] = {
        "remakes": rows.value(row, filled.REMAKES, lambda cell: whole_in(cell, 0, 999)),
        "remakes_after_shrinking": rows.value(row, filled.AFTER_SHRINKING, lambda cell: whole_in(cell, 0, 999)),
        "by": rows.value(row, filled.BY, lambda cell: text_in(cell, 200)),
        "on": rows.value(row, filled.ON, day_in),
        "note": rows.value(row, filled.NOTE, lambda cell: text_in(cell, 1000)),
    }
    if not any(row.cells.get(head) is not None for head in filled.FILLED_ON_SPLICES):
        return
    at = rows.slot(row)
    if at is None:
        return
    if at in records:
        detail = "This slot stands in an earlier row already."
        rows.faults.append(SheetFault(rows.sheet, rows.cell(row, filled.PLACE[0]), detail))
        return
    record, pointer = _record(records, at, read, f"{rows.sheet}!{rows.cell(row, filled.PLACE[0])}")
    for (name, value), head in zip(told.items(), filled.FILLED_ON_SPLICES, strict=True):
        if value is not None:
            record[name] = value
            read.places[f"{pointer}/{name}"] = f"{rows.sheet}!{rows.cell(row, head)}"


def _loss(rows: _Rows, row: RowRead, records: Records, read: FilledSchedule) -> None:
    losses = [(rows.value(row, head, lambda c: number_in(c, -20, 60)), head, *of) for head, *of in _DIRECTIONS]
    if not any(row.cells.get(head) is not None for head, *_ in _DIRECTIONS):
        return
    at = rows.slot(row)
    fibre = rows.value(row, filled.POSITION, lambda cell: whole_in(cell, 1, 24))
    wavelength = rows.value(row, filled.WAVELENGTH, lambda cell: whole_in(cell, 800, 1700))
    for found, head in ((fibre, filled.POSITION), (wavelength, filled.WAVELENGTH)):
        if found is None and row.cells.get(head) is None:
            rows.faults.append(SheetFault(rows.sheet, rows.cell(row, head), "A loss needs this figure beside it."))
    if at is None or fibre is None or wavelength is None:
        return
    record, pointer = _record(records, at, read, f"{rows.sheet}!{rows.cell(row, filled.PLACE[0])}")
    for value, head, kind, direction in losses:
        if value is None:
            continue
        each: dict[str, Any] = {"fibre": fibre, "loss_db": value, "kind": kind, "wavelength_nm": wavelength}
        if direction is not None:
            each["direction"] = direction
        record.setdefault("losses", []).append(each)
        read.places[f"{pointer}/losses/{len(record['losses']) - 1}"] = f"{rows.sheet}!{rows.cell(row, head)}"


def _record(records: Records, at: Slot, read: FilledSchedule, place: str) -> tuple[dict[str, Any], str]:
    """The record of a slot, new where it has none yet, and the pointer to it."""
    if at not in records:
        pointer = f"/records/{len(records)}"
        records[at] = pointer, {"at": dict(zip(("tray", "bank", "slot"), at, strict=True)), "remakes": 0}
        read.places[pointer] = place
    pointer, record = records[at]
    return record, pointer
