"""How figures, times and states are written on pages."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from typing import Any


def figure(value: Any) -> str:
    """A number with thin spaces between its thousands and no more decimals than it has: ``1 340``, ``0.052``."""
    if value is None:
        return "–"
    return f"{value:,}".replace(",", "\u202f") if isinstance(value, int | float) else str(value)


def moment(value: Any) -> str:
    """A time to the minute, in UTC: ``25 Nov 2026, 16:38 UTC``."""
    if value is None:
        return "–"
    told = value if isinstance(value, datetime) else datetime.fromisoformat(value)
    told = told.astimezone(UTC)
    return f"{told.day} {told:%b %Y, %H:%M} UTC"


def counted(count: int, one: str, many: str | None = None) -> str:
    """A count with its word: ``1 tray``, ``2 trays``."""
    return f"{figure(count)} {one if count == 1 else many or one + 's'}"


def duration(seconds: float) -> str:
    """A time that is left, roughly: ``40 s``, ``3 min``."""
    return f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"


def spoken(name: str) -> str:
    """A member's name in words: ``bend_radius_mm`` is ``Bend radius, mm``."""
    words = name.split("_")
    unit = words.pop() if len(words) > 1 and words[-1] in _UNITS else ""
    text = " ".join(words)
    return text[:1].upper() + text[1:] + (f", {_UNITS[unit]}" if unit else "")


def spaced(name: str) -> str:
    """A name made of words in words: ``handholePlan`` is ``handhole plan``."""
    return re.sub(r"(?<=[a-z0-9])(?=[A-Z])", " ", name).lower()


_UNITS = {"mm": "mm", "mm2": "mm²", "m": "m", "s": "s", "kg": "kg", "um": "µm", "min": "min", "h": "h", "db": "dB"}
FILTERS: Mapping[str, Callable[..., str]] = {
    "figure": figure,
    "moment": moment,
    "counted": counted,
    "duration": duration,
    "spoken": spoken,
    "spaced": spaced,
}
"""The filters of the templates."""
