"""A closure that hangs somewhere: what lies in its trays, which cables enter it, and who has been at it.

Lengths in mm, areas in mm², coordinates in degrees (WGS 84).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from service.domain.plan import ParkedEnds
from service.domain.request import Ranges
from service.domain.splices import RibbonEnd

VisitKind = Literal["hung", "added", "removed", "cable_abandoned"]
"""What a visit did: hung the closure, added splices, took splices out, gave up a cable."""


@dataclass(frozen=True, slots=True)
class LaidSplice:
    """A splice that lies in a hung closure.

    ``number`` counts the splices of the installation from 1 in the order in which they were laid; it is never used
    again. ``visit`` is the number of the visit that laid it. ``storage_mm2`` is what its two ends (from, to) take of
    the tray's channel; where it is not known it is 0, and nothing is freed when an end leaves the tray.
    """

    number: int
    position: int
    bank: int
    slot: int
    from_: RibbonEnd
    to: RibbonEnd
    fibres: int
    sleeve: str
    visit: int
    storage_mm2: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class HungBank:
    """A bank of a hanging tray that is in use, and set to one slot kind.

    ``slots`` is how many it gives; ``parked`` are the numbers of those that parked ends lie in, where ends are parked
    in slots.
    """

    bank: int
    slot_kind: str
    slots: int
    parked: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class HungTray:
    """A tray, counted from 1 in the stack; ``visit`` put it in.

    ``banks`` are those that are set; the others can still take any kind that they offer. ``storage_used_mm2`` is the
    channel that all ribbons in it take, ``ribbons`` how many have entered it.
    """

    position: int
    tray: str
    banks: tuple[HungBank, ...]
    keep_apart: str | None
    storage_used_mm2: float
    storage_mm2: float | None
    ribbons: int
    parked: tuple[ParkedEnds, ...]
    visit: int


@dataclass(frozen=True, slots=True)
class HungCable:
    """A cable that enters, by its tag, and the port places that it hangs in (an express cable may hang in two).

    ``cut`` are the fibres that are cut at this point (of a cable that ends here: every fibre of its opened tubes);
    ``abandoned``: it still hangs in its port, but nothing of it is in use. ``window_mm``: how much of an express
    cable's sheath is off.
    """

    tag: str
    cable: str
    express: bool
    ports: tuple[str, ...]
    cut: Ranges
    visit: int
    slack_m: float | None = None
    abandoned: bool = False
    window_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Visit:
    """What was done on one visit; visits are added and never changed.

    ``splices`` are the numbers of those laid or taken out, ``cables`` the tags of those brought in or given up,
    ``trays`` the positions of those put in. ``recorded`` is when the service was told.
    """

    number: int
    kind: VisitKind
    on: date
    recorded: datetime
    by: str = ""
    note: str = ""
    plan: str | None = None
    splices: tuple[int, ...] = ()
    cables: tuple[str, ...] = ()
    trays: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """Where it hangs, in words and where they are known as coordinates."""

    name: str
    place: str = ""
    latitude: float | None = None
    longitude: float | None = None


@dataclass(frozen=True, slots=True)
class Contents:
    """All that is in a hung closure. ``splices_laid`` and ``visits`` count what was ever done, removed or not."""

    closure: str
    cables: tuple[HungCable, ...]
    trays: tuple[HungTray, ...]
    splices: tuple[LaidSplice, ...]
    splices_laid: int
    visits: int


@dataclass(frozen=True, slots=True)
class Installation:
    """A hung closure as it stands. ``revision`` counts its changes from 1; it is what a change is guarded by."""

    id: str
    created: datetime
    revision: int
    place: Place
    hung: date
    contents: Contents
