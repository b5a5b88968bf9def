"""A single takeoff as a document: where it stands, its first faults, and its totals once there are any."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from service import __version__
from service.building.adding_up import added_up
from service.building.pace import pace_of
from service.building.renaming import own_faults
from service.documents.numbers import rounded
from service.documents.takeoff import details_to, faulty_to, takeoff_to
from service.domain.takeoff import TakeoffStatus
from service.store import PointFilter, TakeoffStore

FAULTY_SHOWN = 10
"""How many faulty splice points a takeoff tells of by itself; its list of faults has them all."""


def standing_of(takeoffs: TakeoffStore, takeoff: TakeoffStatus, now: datetime) -> dict[str, Any]:
    """The document of a takeoff."""
    pace = pace_of(takeoff, now)
    document = takeoff_to(takeoff) | details_to(takeoff)
    document["rate_per_s"] = None if pace.rate_per_s is None else rounded(pace.rate_per_s)
    document["seconds_left"] = None if pace.seconds_left is None else rounded(pace.seconds_left)
    faulty = takeoffs.points(takeoff.id, 0, FAULTY_SHOWN, PointFilter(faulty=True)) if takeoff.faulty else ()
    document["faulty"] = [faulty_to(result, own_faults(result)) for result in faulty]
    if takeoff.state == "running" and takeoff.version != __version__:
        document["why"] = (
            f"It was begun by version {takeoff.version} of the service and waits for a worker of that version. "
            f"To have it planned by this one, {__version__}, cancel it and send it again."
        )
    if takeoff.state == "finished":
        document["totals"] = added_up(takeoffs, takeoff.id)["totals"]
    return document
