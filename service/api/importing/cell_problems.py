"""What is wrong with a file, told by sheet, row and column."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from service.api.problems import FAULTS_SHOWN, Problem
from service.sheets.tabular.rows import CellFault, NotATable

Value = TypeVar("Value")
_HEADING_MOST = 200


def cells_refused(faults: Iterable[CellFault], others: Iterable[dict[str, Any]] = ()) -> Problem:
    """The 422 problem of a file with these faults, in the order of its cells, one a cell and sentence.

    ``others`` are faults of what the file does not say itself, as a cable that a changed method no longer suits.
    """
    found = sorted(set(faults))
    errors = [*map(_told, found), *others]
    count = "1 fault was" if len(errors) == 1 else f"{len(errors)} faults were"
    shown = f" The first {FAULTS_SHOWN} are named." if len(errors) > FAULTS_SHOWN else ""
    return Problem("refused", f"{count} found in the file, so nothing was stored.{shown}", errors)


def _told(fault: CellFault) -> dict[str, Any]:
    place = {"sheet": fault.sheet[:_HEADING_MOST]} if fault.sheet else {}
    heading = {"heading": fault.heading[:_HEADING_MOST]} if fault.heading else {}
    where = {**place, "row": fault.row, "column": fault.letters, **heading}
    return {"pointer": fault.pointer[:2000], **where, "code": fault.code, "detail": fault.detail[:2000]}


def opened(read: Callable[[], Value]) -> Value:
    """What ``read`` gives; a file that cannot be read at all is the 422 problem."""
    try:
        return read()
    except NotATable as error:
        fault = {"pointer": "", "code": error.code, "detail": str(error)}
        raise Problem("refused", "The file cannot be read, so nothing was stored.", [fault]) from None


def not_told_twice(faults: Iterable[CellFault], already: Iterable[CellFault]) -> list[CellFault]:
    """Those of the faults that are not of a cell with a fault already: what is in it was never read."""
    known = {(fault.order, fault.row, fault.column) for fault in already}
    return [fault for fault in faults if (fault.order, fault.row, fault.column) not in known]
