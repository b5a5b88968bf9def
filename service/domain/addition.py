"""What is asked for where more is to be joined in a closure that hangs already."""

from __future__ import annotations

from dataclasses import dataclass, field

from service.domain.request import CableAtPoint, Crew, Joint, Rules, Site


@dataclass(frozen=True, slots=True)
class AdditionRequest:
    """More cables and joints for a hung closure.

    ``cables`` are the new ones alone (none of them ``hanging``); joints may name their tags and those of the cables
    that hang there. The other members are those of a plan request.
    """

    joints: tuple[Joint, ...]
    cables: tuple[CableAtPoint, ...] = ()
    name: str = ""
    rules: Rules = field(default_factory=Rules)
    crew: Crew | None = None
    site: Site | None = None
    headroom: bool = False


@dataclass(frozen=True, slots=True)
class FreeSlots:
    """Free slots of one kind: in banks that are set to it, and in unset banks if all of them were set to it."""

    slot_kind: str
    free: int
    unset: int


@dataclass(frozen=True, slots=True)
class FreePort:
    """A port place that takes more cables of a diameter from-to (mm); ``cables``: how many more."""

    port: str
    od_min_mm: float
    od_max_mm: float
    cables: int


@dataclass(frozen=True, slots=True)
class TrayRoom:
    """What one hanging tray has left: channel (mm²) and ribbons that may enter, None where the catalogue sets no limit.

    ``slots`` counts free slots by kind in banks that are set, ``unset`` what each bank that is not set could give.
    """

    position: int
    tray: str
    keep_apart: str | None
    slots: tuple[tuple[str, int], ...]
    unset: tuple[tuple[int, tuple[tuple[str, int], ...]], ...]
    storage_left_mm2: float | None
    ribbons_left: int | None


@dataclass(frozen=True, slots=True)
class TraysToAdd:
    """How many more of one tray model the stack takes while no other is added."""

    tray: str
    most: int


@dataclass(frozen=True, slots=True)
class FreeRoom:
    """What a hung closure can still take; ``stack_left_mm`` is the height above its trays."""

    slots: tuple[FreeSlots, ...]
    trays: tuple[TrayRoom, ...]
    ports: tuple[FreePort, ...]
    stack_left_mm: float
    trays_to_add: tuple[TraysToAdd, ...]
