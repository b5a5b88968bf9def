"""For how long tokens are good."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from service.domain.faults import Fault, Refused

DAYS_USUAL = 90
"""For so many days a token is good where nothing else is said: common practice, no source."""
DAYS_MOST = 3660
_DAY = timedelta(days=1)


def last_day_of(said: str | None, now: datetime, pointer: str = "/last_day") -> date:
    """The last day of a token that is made now, by its ISO date, else ``DAYS_USUAL`` days on.

    Raises ``Refused`` at ``pointer`` for a day that is over, or more than ``DAYS_MOST`` days off.
    """
    today = now.astimezone(UTC).date()
    day = date.fromisoformat(said) if said is not None else today + DAYS_USUAL * _DAY
    if not today <= day <= today + DAYS_MOST * _DAY:
        detail = (
            f"The last day of a token is today ({today} in UTC) at the earliest, and {DAYS_MOST} days on at the latest."
        )
        raise Refused([Fault(pointer, "range", detail)])
    return day


def end_of(day: date) -> datetime:
    """The moment at which a day is over in UTC."""
    return datetime.combine(day + _DAY, time(), UTC)
