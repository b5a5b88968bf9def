"""Whole-number prices: what each bundle, slot and tray is worth in a bound."""

from __future__ import annotations

from dataclasses import dataclass, field

FINENESS = 1_000_000
"""Into how many parts a unit of the linear programme's prices is divided."""


@dataclass(slots=True)
class Prices:
    """None is negative but the tolls.

    ``lots[n]``: one bundle of lot ``n``. ``slots[c]``: one slot of column ``c`` in the trays; ``later[c]``: in the
    trays or in what is added later. ``trays[b]``: the use of a tray of berth ``b``. ``stack``: a unit of the stack, and
    ``spare``: a tray that can still be added (both matter only where room for later trays is kept). ``labels[g]``: a
    tray for label ``g``, of which there must be some; ``cut``: a cut, of which ``allowed`` may be made.

    In a branch, ``tolls[(type, group)]`` comes beside its berth's price for a tray of that type used for that label
    (-1: for no label), ``lot_tolls[(type, lot)]`` for a bundle of a lot in a tray of that type, ``cut_tolls[cut]`` for
    a cut; ``allowance`` is the most that all tolls come to.
    """

    lots: list[int]
    slots: list[int]
    later: list[int]
    trays: list[int]
    stack: int = 0
    spare: int = 0
    labels: list[int] = field(default_factory=list)
    cut: int = 0
    allowed: int = 0
    tolls: dict[tuple[int, int], int] = field(default_factory=dict)
    lot_tolls: dict[tuple[int, int], int] = field(default_factory=dict)
    cut_tolls: dict[tuple[int, int, int], int] = field(default_factory=dict)
    allowance: int = 0


HIGHEST = 1e12
"""Higher prices than this are lowered: any price makes a bound."""


def whole(value: float) -> int:
    """A price as a whole number of parts, never negative."""
    return int(min(value, HIGHEST) * FINENESS) if value > 0.0 else 0
