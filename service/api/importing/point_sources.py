"""Takeoffs that come as files: every splice point is looked at before anything is stored."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from service.api.importing.cell_problems import cells_refused, not_told_twice
from service.api.importing.merging import schema_faults
from service.api.importing.tables import points_table
from service.api.keys import digest_of
from service.api.problems import FAULTS_SHOWN, refused
from service.api.spec import Spec
from service.api.takeoffs.point_checks import SCHEMA, PointChecks
from service.api.takeoffs.sources import Head
from service.building.map_reading import MappedPoint
from service.building.reading import Checked
from service.domain.faults import Fault
from service.sheets.tabular.described import POINTS
from service.sheets.tabular.reading import TablesRead


def _checked(document: Any) -> Checked:
    return Checked(document)


class _Files:
    """What files have in common: their splice points are known to be as the schema says when they are received."""

    def __init__(self, head: Head, digest: str, documents: Sequence[dict[str, Any]]) -> None:
        self.head, self._digest, self._documents = head, digest, documents

    def lines(self) -> Iterable[tuple[int, Any]]:
        """The splice points, numbered as they came."""
        return enumerate(self._documents, start=1)

    def check(self, checks: PointChecks) -> Callable[[Any], Checked]:
        """They were checked when the file was read."""
        return _checked

    def digest(self) -> str:
        """What tells this takeoff from another."""
        return digest_of(["takeoff", *self.head, self._digest])


class Typed(_Files):
    """A takeoff that was typed into a table. Raises the 422 problem with every cell that is not in order."""

    def __init__(self, head: Head, digest: str, read: TablesRead, spec: Spec) -> None:
        self._table, self._entries = points_table(spec), list(read.entries[POINTS].values())
        documents = [entry.over(self._table) for entry in self._entries]
        faults = list(read.faults)
        for entry, document in zip(self._entries, documents, strict=True):
            if len(faults) >= FAULTS_SHOWN:
                break
            found = schema_faults(spec, SCHEMA, document)
            told = (entry.fault(self._table, fault.pointer, fault.code, fault.detail) for fault in found)
            faults += not_told_twice(told, read.faults)
        if faults:
            raise cells_refused(faults)
        super().__init__(head, digest, documents)

    def told(self, line: int, fault: Fault) -> dict[str, Any]:
        """A fault of a splice point as one of the cell that it came from."""
        cell = self._entries[line - 1].fault(self._table, fault.pointer, fault.code, fault.detail)
        told: dict[str, Any] = cells_refused([cell]).errors[0]
        return told


class Mapped(_Files):
    """A takeoff that came as points of a map. Raises the 422 problem with every fault."""

    def __init__(self, head: Head, digest: str, points: Sequence[MappedPoint], spec: Spec) -> None:
        faults: list[Fault] = []
        for place, point in enumerate(points):
            if len(faults) >= FAULTS_SHOWN:
                break
            faults += point.faults
            if point.document is not None:
                faults += [_in_feature(place, fault) for fault in schema_faults(spec, SCHEMA, point.document)]
        if faults:
            raise refused(faults)
        super().__init__(head, digest, [point.document for point in points if point.document is not None])

    def told(self, line: int, fault: Fault) -> dict[str, Any]:
        """A fault of a splice point at its place in the body."""
        moved = _in_feature(line - 1, fault)
        return {"pointer": moved.pointer, "code": moved.code, "detail": moved.detail}


def _in_feature(place: int, fault: Fault) -> Fault:
    return Fault(f"/features/{place}/properties{fault.pointer}", fault.code, fault.detail)
