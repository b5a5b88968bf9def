"""Where something is on a map."""

from __future__ import annotations

from typing import NamedTuple


class MapPoint(NamedTuple):
    """Degrees (WGS 84), east and north positive, and where it is told the height above the ellipsoid in m."""

    longitude: float
    latitude: float
    altitude_m: float | None = None
