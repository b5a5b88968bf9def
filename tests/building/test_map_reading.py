"""Points of a map are read as RFC 7946 has them, and no more is taken than the description allows."""

from __future__ import annotations

import random
import re
from copy import deepcopy
from typing import Any

import pytest

from service.api.spec import load_spec
from service.building.map_reading import mapped_points
from service.domain.faults import Refused
from tests.api.files import PLACE, POINT
from tests.contract.bodies import faulty

SPEC = load_spec()


def collection(geometry: Any, **members: Any) -> dict[str, Any]:
    """A map of one splice point."""
    feature = {"type": "Feature", "geometry": geometry, "properties": deepcopy(POINT)}
    return {"type": "FeatureCollection", "features": [feature], **members}


def at(*coordinates: float) -> dict[str, Any]:
    """A Point."""
    return {"type": "Point", "coordinates": list(coordinates)}


def pointers(body: Any) -> list[str]:
    """The places of all faults."""
    try:
        return [fault.pointer for point in mapped_points(body) for fault in point.faults]
    except Refused as refusal:
        return [fault.pointer for fault in refusal.faults]


@pytest.mark.parametrize("coordinates", [PLACE, (180, 90), (-180.0, -90.0), (179.9999, 0, 12.5), (0, 0, -40)])
def test_a_position_is_kept_as_it_was_told(coordinates: tuple[float, ...]) -> None:
    """Longitude first (RFC 7946, section 3.1.1), either side of the antimeridian, with a height or without."""
    (point,) = mapped_points(collection(at(*coordinates)))
    assert point.faults == ()
    assert point.document is not None
    assert tuple(point.document["position"].values()) == coordinates
    assert list(point.document["position"])[:2] == ["longitude", "latitude"]


def test_a_geometry_of_null_is_a_place_that_nobody_knows() -> None:
    """RFC 7946, section 3.2: an unlocated Feature."""
    (point,) = mapped_points(collection(None))
    assert point.document == POINT


CASES: dict[str, tuple[Any, list[str]]] = {
    "latitude-first": (collection(at(54.15, -104.4)), ["/features/0/geometry/coordinates/1"]),
    "too-far-east": (collection(at(180.1, 0)), ["/features/0/geometry/coordinates/0"]),
    "four-numbers": (collection(at(1, 2, 3, 4)), ["/features/0/geometry/coordinates"]),
    "one-number": (collection(at(1)), ["/features/0/geometry/coordinates"]),
    "no-numbers": (collection({"type": "Point", "coordinates": []}), ["/features/0/geometry/coordinates"]),
    "text": (
        collection({"type": "Point", "coordinates": ["1", True]}),
        ["/features/0/geometry/coordinates/0", "/features/0/geometry/coordinates/1"],
    ),
    "a-line": (collection({"type": "LineString", "coordinates": [[0, 0], [1, 1]]}), ["/features/0/geometry/type"]),
    "several": (collection({"type": "MultiPoint", "coordinates": [[0, 0]]}), ["/features/0/geometry/type"]),
    "another-grid": (collection(at(1, 2), crs={"type": "name"}), ["/crs"]),
    "a-feature": (collection(at(1, 2))["features"][0], ["/type", "/geometry", "/properties", "/features"]),
    "no-features": ({"type": "FeatureCollection", "features": []}, ["/features"]),
    "no-object": ([], [""]),
    "a-box-of-text": (collection(at(1, 2), bbox=["a"]), ["/bbox"]),
}


@pytest.mark.parametrize("name", CASES)
def test_what_is_no_point_on_a_map_is_told_with_its_place(name: str) -> None:
    """Every fault by a pointer into the body."""
    body, expected = CASES[name]
    assert pointers(body) == expected


def test_the_place_is_told_by_the_geometry_alone() -> None:
    """A position among the properties would be a second one."""
    body = collection(at(1, 2))
    body["features"][0]["properties"]["position"] = {"longitude": 3, "latitude": 4}
    assert pointers(body) == ["/features/0/properties/position"]


def test_what_a_map_program_adds_is_passed_over() -> None:
    """The name of the layer, bounds, numbers of its own."""
    body = collection(at(1, 2), name="build", bbox=[0, 0, 1, 1])
    body["features"][0] |= {"id": 7, "bbox": [1, 2, 1, 2]}
    assert pointers(body) == []
    assert SPEC.validator("SplicePointMap").is_valid(body)


def taken(body: Any) -> bool:
    """Whether the reader and the splice point's own schema take all of it."""
    try:
        points = mapped_points(body)
    except Refused:
        return False
    schema = SPEC.validator("SplicePoint")
    return all(not point.faults and schema.is_valid(point.document) for point in points)


def test_the_reader_takes_nothing_that_the_description_forbids() -> None:
    """Thousands of bodies with faults at random places: what the published schema refuses, the reader refuses too.

    And the other way about, but for what no schema says: each coordinate's own bound, a box of five numbers, and that
    the properties have no position.
    """
    whole = collection(at(1, 2), name="build", bbox=[0, 0, 1, 1])
    whole["features"][0] |= {"id": 7, "bbox": [1, 2, 1, 2]}
    schema, chance = SPEC.validator("SplicePointMap"), random.Random(7)
    seen = {True: 0, False: 0}
    for _ in range(4000):
        body = faulty(whole, chance)
        allowed = schema.is_valid(body)
        seen[allowed] += 1
        if not allowed:
            assert not taken(body), body
        elif not taken(body):
            said = re.compile("coordinates|bbox$|position$")
            assert all(said.search(pointer) for pointer in pointers(body)), (pointers(body), body)
    assert min(seen.values()) > 100
