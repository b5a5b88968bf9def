"""How far two places on the earth are from each other."""

from __future__ import annotations

from math import asin, cos, degrees, radians, sin, sqrt
from typing import NamedTuple

EARTH_KM = 6371.0088
"""Mean radius of the earth, (2a + b) / 3 of the WGS 84 ellipsoid (from memory)."""


class Position(NamedTuple):
    """Degrees (WGS 84), north and east positive."""

    latitude: float
    longitude: float


def kilometres(one: Position, other: Position) -> float:
    """The great-circle distance in km, by the haversine formula on a sphere; within half a percent of the true one."""
    north, south = radians(one.latitude), radians(other.latitude)
    half = sin((south - north) / 2) ** 2
    half += cos(north) * cos(south) * sin(radians(other.longitude - one.longitude) / 2) ** 2
    return 2 * EARTH_KM * asin(sqrt(min(1.0, half)))


def latitude_band(centre: Position, within_km: float) -> tuple[float, float]:
    """The least and the greatest latitude of what lies within so many km."""
    reach = degrees(within_km / EARTH_KM)
    return centre.latitude - reach, centre.latitude + reach
