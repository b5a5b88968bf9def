"""Splice points with what came of them as GeoJSON (RFC 7946), for any program that shows maps."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import orjson

from service.building.renaming import own_answer, own_faults
from service.documents.takeoff import outcome_of
from service.domain.takeoff import PointResult
from service.store import PointFilter, TakeoffStore

_AT_ONCE = 100


def map_parts(takeoffs: TakeoffStore, takeoff_id: str, which: PointFilter) -> Iterator[bytes]:
    """A FeatureCollection in the order of the places, some features at a time."""
    after, between = 0, b""
    yield b'{"type":"FeatureCollection","features":['
    while found := takeoffs.points(takeoff_id, after, _AT_ONCE, which, True):
        yield between + b",".join(orjson.dumps(feature_of(result)) for result in found)
        after, between = found[-1].point.place, b","
    yield b"]}"


def feature_of(result: PointResult) -> dict[str, Any]:
    """A splice point as a Feature; its geometry is null where nobody told its place (RFC 7946, section 3.2)."""
    position = result.point.position
    geometry = None
    if position is not None:
        geometry = {"type": "Point", "coordinates": [each for each in position if each is not None]}
    return {"type": "Feature", "id": result.point.place, "geometry": geometry, "properties": _properties(result)}


def _properties(result: PointResult) -> dict[str, Any]:
    point = result.point
    told: dict[str, Any] = {
        "place": point.place,
        "name": point.name,
        "tags": dict(point.tags),
        "outcome": outcome_of(result),
    }
    faults = own_faults(result)
    if faults:
        told["faults"] = [fault.detail for fault in faults]
    answer = own_answer(result)
    if answer is None:
        return told
    plan = orjson.loads(answer)
    told |= {"closure": result.closure, "splices": result.splices}
    if result.fits:
        told["trays"] = result.trays
        told["sleeves"] = sum(each["quantity"] for each in plan["sleeves"])
        told["optimal"] = result.optimal
    else:
        told["reasons"] = [reason["text"] for reason in plan["reasons"]]
    return told
