"""The room that stored turns take of a tray's channel, in whole µm² rounded up, so that a fit is never overstated.

Each end takes ``turns x cross-section / fill``. A flat ribbon keeps its width x height; a rollable one packs as a
round of each of its fibres, and so do loose and bare fibres. That ``fill`` of the channel can be used is the rules'.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from typing import Literal, NamedTuple

from service.planning.slack import exact
from service.standards.ribbons import cross_section_um2

EndForm = Literal["flat", "rollable", "fibre"]


class StoredEnd(NamedTuple):
    """One end that is stored; ``fibre``: loose or bare fibres, so many of them."""

    form: EndForm
    fibres: int
    pitch_um: int


@lru_cache(maxsize=1024)
def end_area_um2(form: EndForm, fibres: int, pitch_um: int) -> int:
    """Cross-section of one end; a fibre is a round as wide as the pitch (0.25 or 0.2 mm)."""
    if form == "flat":
        return cross_section_um2(fibres, pitch_um)
    return math.ceil(fibres * math.pi / 4 * pitch_um**2)


def end_area_mm2(form: EndForm, fibres: int, pitch_um: int) -> float:
    """:func:`end_area_um2` in mm²."""
    return end_area_um2(form, fibres, pitch_um) / 1_000_000


def storage_um2(ends: Iterable[StoredEnd], turns: int, fill: float) -> int:
    """What ends stored for so many turns each take of a channel: both sides of a splice, or parked ends."""
    if not 0 < fill <= 1:
        raise ValueError("A fill is above 0 and at most 1.")
    return _channel_um2(sum(end_area_um2(*end) for end in ends), turns, fill)


def splice_storage_mm2(from_: StoredEnd, to: StoredEnd, turns: int, fill: float) -> float:
    """What both sides of one splice take of a channel, in mm²."""
    return storage_um2((from_, to), turns, fill) / 1_000_000


@lru_cache(maxsize=1024)
def _channel_um2(area_um2: int, turns: int, fill: float) -> int:
    return math.ceil(area_um2 * turns / exact(fill))
