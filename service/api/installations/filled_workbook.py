"""A filled-in workbook on its way in: its slots as splices of the closure, and faults as cells."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from service.api.problems import refused
from service.api.state import state
from service.domain.faults import Fault, Refused
from service.domain.installation import Installation

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Cells:
    """A document, and which cell each part of it came from."""

    document: dict[str, Any]
    places: Mapping[str, str]

    def told(self, work: Callable[[], Value]) -> Value:
        """What ``work`` gives; where it refuses the document, the faults lead to the cells."""
        try:
            return work()
        except Refused as refusal:
            raise Refused([self._moved(fault) for fault in refusal.faults]) from None

    def _moved(self, fault: Fault) -> Fault:
        pointer = fault.pointer
        while pointer and pointer not in self.places:
            pointer = pointer.rpartition("/")[0]
        place = self.places.get(pointer)
        if place is None:
            return fault
        sheet, _, cell = place.partition("!")
        return _at(sheet, cell, fault.code, fault.detail)


def read_workbook(installation: Installation, content: bytes) -> Cells:
    """Read the workbook of one of the plans that were carried out in this closure.

    Raises the 422 problem: for what is no such workbook, for one of another plan, and with every cell that is wrong.
    """
    # Loaded when it is first needed: reading workbooks takes a large library.
    from service.sheets.schedule.opening import NotAWorkbook
    from service.sheets.schedule.reading import read_schedule

    try:
        read = read_schedule(content)
    except NotAWorkbook as error:
        raise refused([Fault("", "no_workbook", str(error))]) from None
    faults = [_at(fault.sheet, fault.cell, "cell", fault.detail) for fault in read.faults]
    if read.plan not in _plans_of(installation):
        detail = "This workbook is of a plan that was not carried out in this closure."
        faults.append(_at("Plan", "B2", "another_plan", detail))
    by_slot = {(each.position, each.bank, each.slot): each.number for each in installation.contents.splices}
    records = []
    for place, record in enumerate(read.document["records"]):
        at = record.pop("at")
        number = by_slot.get((at["tray"], at["bank"], at["slot"]))
        if number is None:
            sheet, _, cell = read.places[f"/records/{place}"].partition("!")
            detail = f"No splice lies in tray {at['tray']}, bank {at['bank']}, slot {at['slot']} of this closure."
            faults.append(_at(sheet, cell, "unknown_splice", detail))
        records.append({"splice": number, **record})
    if not records and not faults:
        faults.append(_at("Splices", "A1", "nothing_filled_in", "Nothing is filled in on this workbook."))
    if faults:
        raise refused(faults)
    return Cells({"records": records}, read.places)


def _plans_of(installation: Installation) -> set[str | None]:
    visits = state().store.installations.visits(installation.id, installation.contents.visits)
    return {visit.plan for visit in visits} - {None}


def _at(sheet: str, cell: str, code: str, detail: str) -> Fault:
    return Fault(f"/{sheet}/{cell}", code, detail)
