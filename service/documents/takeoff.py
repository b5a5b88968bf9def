"""Takeoffs and their splice points as JSON-able documents, member names as published."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

from service.domain.faults import Fault
from service.domain.map_point import MapPoint
from service.domain.takeoff import PointResult, TakeoffStatus

Document = dict[str, Any]


def takeoff_to(takeoff: TakeoffStatus) -> Document:
    """Write where a takeoff stands, as a list of takeoffs tells it."""
    return {
        "id": takeoff.id,
        "name": takeoff.name,
        "created": moment(takeoff.created),
        "state": takeoff.state,
        "stage": takeoff.stage,
        "tags": dict(takeoff.tags),
        "points": {
            "total": takeoff.points,
            "done": takeoff.done,
            "fitting": takeoff.fitting,
            "not_fitting": takeoff.unfitting,
            "not_proven": takeoff.unproven,
            "faulty": takeoff.faulty,
        },
    }


def details_to(takeoff: TakeoffStatus) -> Document:
    """Write what only a single takeoff tells of itself."""
    document: Document = {
        "strict": takeoff.strict,
        "catalogue_revision": takeoff.catalogue_revision,
        "version": takeoff.version,
        "demands": {"total": takeoff.demands, "judged": takeoff.judged, "planned": takeoff.planned},
    }
    if takeoff.closure_kinds_most is not None:
        chosen = None if takeoff.chosen is None else list(takeoff.chosen)
        document["closure_kinds"] = {"most": takeoff.closure_kinds_most, "chosen": chosen}
    if takeoff.why is not None:
        document["why"] = takeoff.why
    document["started"] = None if takeoff.started is None else moment(takeoff.started)
    document["ended"] = None if takeoff.ended is None else moment(takeoff.ended)
    return document


def point_to(result: PointResult, faults: Sequence[Fault]) -> Document:
    """Write a splice point and what came of it, without its plan; ``faults`` are in the splice point's own names."""
    point = result.point
    document: Document = {
        "place": point.place,
        "line": point.line,
        "name": point.name,
        "tags": dict(point.tags),
        "outcome": outcome_of(result),
    }
    if point.position is not None:
        document["position"] = position_to(point.position)
    if result.fits is not None:
        document["closure"] = result.closure
        document["splices"] = result.splices
    if result.fits:
        document["trays"] = result.trays
        document["optimal"] = result.optimal
    if faults:
        document["faults"] = faults_to(faults)
    return document


def position_from(document: Document) -> MapPoint:
    """Where a splice point is, from a schema-valid document."""
    return MapPoint(document["longitude"], document["latitude"], document.get("altitude_m"))


def position_to(position: MapPoint) -> Document:
    """Write where a splice point is."""
    return {name: value for name, value in position._asdict().items() if value is not None}


def outcome_of(result: PointResult) -> str:
    """What came of a splice point, in a word: waiting, fits, does_not_fit, faulty."""
    if not result.done:
        return "waiting"
    if result.fits is None:
        return "faulty"
    return "fits" if result.fits else "does_not_fit"


def faulty_to(result: PointResult, faults: Sequence[Fault]) -> Document:
    """Write a splice point that is not in order, with its faults."""
    point = result.point
    return {"place": point.place, "line": point.line, "name": point.name, "faults": faults_to(faults)}


def faults_to(faults: Iterable[Fault]) -> list[Document]:
    """Write faults, pointers into the splice point's own document."""
    return [{"pointer": fault.pointer, "code": fault.code, "detail": fault.detail} for fault in faults]


def moment(time: datetime) -> str:
    """A time in UTC (RFC 3339)."""
    return f"{time.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%f}Z"
