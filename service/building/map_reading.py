"""Splice points out of a map: a GeoJSON FeatureCollection (RFC 7946) of Points whose properties are splice points.

Positions are longitude, latitude and perhaps altitude, in this order, on WGS 84, which is all that RFC 7946 knows
(section 4); a ``crs`` of earlier times is refused, since what it names might be another one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.domain.faults import Fault, Refused

FEATURES_MOST = 10_000
_COLLECTION = frozenset({"type", "features", "bbox", "name"})
_FEATURE = frozenset({"type", "geometry", "properties", "id", "bbox"})
_GEOMETRY = frozenset({"type", "coordinates", "bbox"})
_ID_MOST, _NUMBER_MOST, _BOX_MOST = 200, 2**53 - 1, 10**9
_BOUNDS = (("longitude", 180.0), ("latitude", 90.0), ("altitude", 20_000.0))


@dataclass(frozen=True, slots=True)
class MappedPoint:
    """A feature as a splice point with its position; None where it is none, and ``faults`` with their pointers."""

    document: dict[str, Any] | None
    faults: tuple[Fault, ...] = ()


def mapped_points(collection: Any) -> list[MappedPoint]:
    """The splice points of a FeatureCollection. Raises ``Refused`` for what is no such collection."""
    if not isinstance(collection, Mapping):
        raise Refused([Fault("", "type", "The body is an object.")])
    faults = [*_of_type(collection, "FeatureCollection", ""), *_unknown(collection, _COLLECTION, "")]
    faults += _box(collection, "")
    name = collection.get("name", "")
    if not isinstance(name, str) or len(name) > 1000:
        faults.append(Fault("/name", "type", "This is text of up to 1000 letters."))
    features = collection.get("features")
    if not isinstance(features, list):
        faults.append(Fault("/features", "type", "This is the list of features."))
    elif not 1 <= len(features) <= FEATURES_MOST:
        faults.append(Fault("/features", "length", f"There are from 1 to {FEATURES_MOST} features."))
    if faults:
        raise Refused(faults)
    assert isinstance(features, list)
    return [_point(feature, f"/features/{place}") for place, feature in enumerate(features)]


def _point(feature: Any, pointer: str) -> MappedPoint:
    if not isinstance(feature, Mapping):
        return MappedPoint(None, (Fault(pointer, "type", "This is an object."),))
    faults = [*_of_type(feature, "Feature", pointer), *_unknown(feature, _FEATURE, pointer), *_box(feature, pointer)]
    number = feature.get("id", "")
    if not (len(number) <= _ID_MOST if isinstance(number, str) else _is_number(number, _NUMBER_MOST)):
        faults.append(Fault(f"{pointer}/id", "type", "This is text or a number."))
    if "geometry" not in feature:
        faults.append(Fault(f"{pointer}/geometry", "required", "This is needed; null where the place is not known."))
    geometry = feature.get("geometry")
    if geometry is not None:
        faults += _geometry_faults(geometry, f"{pointer}/geometry")
    properties = feature.get("properties")
    if not isinstance(properties, Mapping):
        faults.append(Fault(f"{pointer}/properties", "type", "This is the splice point, an object."))
        return MappedPoint(None, tuple(faults))
    document = dict(properties)
    if document.pop("position", None) is not None:
        detail = "Where the splice point is, the geometry says."
        faults.append(Fault(f"{pointer}/properties/position", "contradiction", detail))
    if geometry is not None and not faults:
        names = ("longitude", "latitude", "altitude_m")
        document["position"] = dict(zip(names, geometry["coordinates"], strict=False))
    return MappedPoint(document, tuple(faults))


def _geometry_faults(geometry: Any, pointer: str) -> Iterator[Fault]:
    if not isinstance(geometry, Mapping):
        yield Fault(pointer, "type", "This is a Point, or null.")
        return
    yield from _of_type(geometry, "Point", pointer)
    yield from _unknown(geometry, _GEOMETRY, pointer)
    yield from _box(geometry, pointer)
    coordinates = geometry.get("coordinates")
    if geometry.get("type") != "Point":
        return
    if not isinstance(coordinates, list) or len(coordinates) not in (2, 3):
        yield Fault(f"{pointer}/coordinates", "length", "These are longitude, latitude and perhaps altitude.")
        return
    for place, (number, (name, most)) in enumerate(zip(coordinates, _BOUNDS, strict=False)):
        if isinstance(number, bool) or not isinstance(number, int | float):
            yield Fault(f"{pointer}/coordinates/{place}", "type", "This is a number.")
        elif abs(number) > most:
            detail = f"A {name} goes from {-most:g} to {most:g}. Longitude comes first, on WGS 84."
            yield Fault(f"{pointer}/coordinates/{place}", "range", detail)


def _of_type(node: Mapping[str, Any], wanted: str, pointer: str) -> Iterator[Fault]:
    if node.get("type") != wanted:
        yield Fault(f"{pointer}/type", "value", f"This is {wanted}.")


def _unknown(node: Mapping[str, Any], known: frozenset[str], pointer: str) -> Iterator[Fault]:
    for name in node:
        if name == "crs":
            detail = "Positions are on WGS 84 and say so by being GeoJSON (RFC 7946); leave crs out."
            yield Fault(f"{pointer}/crs", "unknown_member", detail)
        elif name not in known:
            way = str(name)[:200].replace("~", "~0").replace("/", "~1")
            yield Fault(f"{pointer}/{way}", "unknown_member", "There is no member of this name here.")


def _box(node: Mapping[str, Any], pointer: str) -> Iterator[Fault]:
    box = node.get("bbox", [0, 0, 0, 0])
    if not isinstance(box, list) or len(box) not in (4, 6) or not all(_is_number(each, _BOX_MOST) for each in box):
        yield Fault(f"{pointer}/bbox", "type", "These are four or six numbers.")


def _is_number(value: Any, most: float) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= most
