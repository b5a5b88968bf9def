"""Distances between places on the earth."""

from __future__ import annotations

import pytest

from service.domain.distance import Position, kilometres, latitude_band

QUARTER_KM = 10_001.966
"""From the equator to a pole along a meridian of WGS 84 (from memory); the metre was meant to make it 10,000."""


def test_a_quarter_of_a_meridian_is_as_long_as_it_is_known_to_be() -> None:
    """On the sphere it comes out a little too long, well within half a percent."""
    assert kilometres(Position(0, 30), Position(90, 30)) == pytest.approx(QUARTER_KM, rel=0.005)


def test_a_degree_of_longitude_shrinks_towards_the_poles() -> None:
    """At 60 degrees it is half of what it is at the equator, since cos 60 is a half."""
    wide, narrow = (kilometres(Position(north, 0), Position(north, 0.01)) for north in (0, 60))
    assert narrow == pytest.approx(wide / 2, rel=1e-6)


def test_distances_reach_over_the_date_line_and_to_the_other_side() -> None:
    """A fifth of a degree apart there as elsewhere; the antipodes are half a great circle away."""
    here = kilometres(Position(10, 0), Position(10, 0.2))
    assert kilometres(Position(10, 179.9), Position(10, -179.9)) == pytest.approx(here)
    assert kilometres(Position(90, 0), Position(-90, 0)) == pytest.approx(2 * QUARTER_KM, rel=0.005)


def test_whatever_is_near_lies_in_the_band_of_latitudes() -> None:
    """The band ends exactly where the distance due north and south is reached."""
    centre = Position(53.5, 8.5)
    south, north = latitude_band(centre, 25)
    for edge in (south, north):
        assert kilometres(centre, Position(edge, 8.5)) == pytest.approx(25, rel=1e-9)
