"""Places: coordinates in bodies, and the parameters that ask for what is near."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.api.problems import bad_parameters
from service.domain.distance import Position
from service.domain.faults import Fault, Refused
from service.store import Near

WITHIN_KM = 1.0
"""How near is near where the caller does not say."""


def insist_on_both_coordinates(document: Mapping[str, Any]) -> None:
    """Raise ``Refused`` where one coordinate is given without the other."""
    for given, missing in (("latitude", "longitude"), ("longitude", "latitude")):
        if given in document and missing not in document:
            raise Refused([Fault(f"/{missing}", "required", f"Give the {missing} as well, or neither.")])


def near_from(near: str | None, within_km: float | None) -> Near | None:
    """What the parameters ask for; raises the 400 problem for a place that is not on the earth, or for no place."""
    if near is None:
        if within_km is not None:
            raise bad_parameters([("within_km", "contradiction", "Say near what: near=latitude,longitude.")])
        return None
    latitude, longitude = (float(text) for text in near.split(","))
    if abs(latitude) > 90 or abs(longitude) > 180:
        detail = "Latitudes go from -90 to 90 and longitudes from -180 to 180."
        raise bad_parameters([("near", "range", detail)])
    return Near(Position(latitude, longitude), WITHIN_KM if within_km is None else within_km)
