"""The demo's takeoff: it is what the generator makes, and all of it can be planned."""

from __future__ import annotations

import orjson

from service.api.spec import load_spec
from service.building.demands import plan_demand
from service.building.equals import canonical
from service.documents.catalogue import catalogue_from
from tests.demo.files import CATALOGUE
from tests.demo.made_build import BUILD, POINTS, build, written

LINES = BUILD.read_bytes().splitlines()


def test_the_build_is_what_the_generator_makes() -> None:
    """Byte for byte."""
    assert BUILD.read_bytes() == b"".join(written(build()))


def test_the_build_has_four_hundred_splice_points_with_names_of_their_own() -> None:
    """Each is one that the description allows, with an area and a phase."""
    valid = load_spec().validator("SplicePoint")
    points = [orjson.loads(line) for line in LINES]
    assert len(points) == POINTS == len({point["name"] for point in points})
    assert all(valid.is_valid(point) for point in points)
    assert {frozenset(point["tags"]) for point in points} == {frozenset({"area", "phase"})}


def test_every_splice_point_fits_and_many_are_alike() -> None:
    """One in five of the distinct ones is planned here; the whole is what the README does."""
    catalogue = catalogue_from(orjson.loads(CATALOGUE))
    demands = list(dict.fromkeys(canonical(orjson.loads(line), 0).request for line in LINES))
    assert len(demands) < 400
    for number, request in enumerate(demands[::5], start=1):
        document = orjson.loads(request)
        document.pop("tags")
        result = plan_demand(catalogue, number, orjson.dumps(document))
        assert result.fits and result.optimal
