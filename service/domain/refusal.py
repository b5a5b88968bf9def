"""What to do where the work does not fit: the part of it that does, and the changes that would make all of it fit."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Change = Literal[
    "reserve",
    "reach",
    "remakes",
    "split_ribbons",
    "split",
    "keep_apart",
    "sleeve",
    "tray_count",
    "stack",
    "tray_kind",
    "ports",
    "closure",
    "splices",
]
"""What a remedy changes, in the order of upheaval: rules, room in the closure, the closure, the work."""


@dataclass(frozen=True, slots=True)
class PortKit:
    """Further cable entries that would do: how many, for which cables (tags), and their diameters from-to (mm)."""

    entries: int
    od_min_mm: float
    od_max_mm: float
    cables: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that makes it fit; ``verified``: shown by solving again with the change made.

    ``to`` is what it is changed to, ``names`` what the change is about where that can be several things (keep-apart
    labels, numbers of bundles, a tray). ``amount`` is how many of it (trays, splices). ``cost`` is what it costs in
    material in ``currency``: the added trays, sleeves instead of others, the closure less the one that was asked for;
    None where nothing is bought or a price is not known (``buys`` tells the two apart).
    """

    change: Change
    to: str
    verified: bool
    text: str
    names: tuple[str, ...] = ()
    amount: int | None = None
    cost: Decimal | None = None
    currency: str | None = None
    buys: bool = False
    kit: PortKit | None = None


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A bundle, numbered from 1, of which ``splices`` of ``of`` find no room: those ribbons (or fibres) of its ends.

    ``joint`` counts the request's joints from 0. Tubes count from 1; 0 where a joint is kept together over several.
    """

    bundle: int
    joint: int
    splices: int
    of: int
    form: Literal["ribbon", "single"]
    fibres: int
    keep_apart: str | None
    from_cable: str
    from_tube: int
    from_range: str
    to_cable: str
    to_tube: int
    to_range: str


@dataclass(frozen=True, slots=True)
class LargestPart:
    """The part of the work that fits ``closure``, with the most splices that were found: all but ``left_over``.

    What goes in of a bundle is laid as the rules say of a bundle of that size. ``at_most``: no part has more splices
    than that; ``proven`` where it is reached. ``cables``: tags of cables that would have to stay out. The part was
    planned by itself, with the parked ends of the whole; what is left over takes no room in it.
    """

    closure: str
    splices: int
    at_most: int
    proven: bool
    left_over: tuple[LeftOver, ...]
    cables: tuple[str, ...] = ()
