"""How quickly a takeoff goes, and how long it will take."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from service.domain.takeoff import TakeoffStatus


class Pace(NamedTuple):
    """Splice points planned in a second, and the seconds that are left; None where that cannot be told."""

    rate_per_s: float | None
    seconds_left: float | None


def pace_of(takeoff: TakeoffStatus, now: datetime) -> Pace:
    """The pace since the work began.

    What is left is reckoned by demands, each of which is planned once however many splice points ask for it, and before
    that judged once where few kinds of closure are chosen (taken to last as long as planning it).
    """
    if takeoff.started is None:
        return Pace(None, None)
    seconds = ((takeoff.ended or now) - takeoff.started).total_seconds()
    if seconds <= 0:
        return Pace(None, None)
    planned = takeoff.fitting + takeoff.unfitting
    rate = planned / seconds if planned else None
    if takeoff.ended is not None:
        return Pace(rate, None)
    steps = takeoff.demands * (1 if takeoff.closure_kinds_most is None else 2)
    done = takeoff.planned + takeoff.judged
    return Pace(rate, (steps - done) * seconds / done if done else None)
