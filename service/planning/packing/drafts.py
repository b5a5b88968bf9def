"""A packing in the making: trays that are open, what fits into them still, and what lies in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import LOOSE, UNLIMITED, Berth, Case, Likeness
from service.planning.packing.coverage import (
    cover_banks,
    fewest_pitches,
    groups_of,
    less,
    set_trays,
    with_later,
)
from service.planning.packing.mixes import Mix
from service.planning.packing.settings import Vector

CLOSING_NODES = 1_000
"""How many nodes the settings of one finished packing may take; not counted against the search."""


class OpenTray:
    """One tray being filled. ``options`` are the settings that still give what lies in it; ``pieces`` (item, count)."""

    __slots__ = ("berth", "hanging", "label", "options", "pieces", "ribbons", "storage", "used")

    def __init__(self, case: Case, berth: int, hanging: int = -1) -> None:
        kind = case.berths[berth]
        self.berth = berth
        self.hanging = hanging
        self.options = kind.settings
        self.used = [0] * case.columns
        self.storage = kind.storage
        self.ribbons = kind.ribbons
        self.label = kind.label
        self.pieces: list[tuple[int, int]] = []

    def room(self, alike: Likeness) -> int:
        """How many splices of that likeness still fit."""
        stored = alike.storage[self.berth]
        if stored is None or (alike.label is not None and self.label is not None and alike.label != self.label):
            return 0
        most = UNLIMITED
        if alike.slots:
            column = alike.column
            options = self.options
            given = options[0][column] if len(options) == 1 else max([g[column] for g in options])
            most = (given - self.used[column]) // alike.slots
        if stored and self.storage is not None:
            most = min(most, self.storage // stored)
        if alike.ribbons and self.ribbons is not None:
            most = min(most, self.ribbons // alike.ribbons)
        return most

    def put(self, alike: Likeness, item: int, count: int) -> None:
        """Lay ``count`` splices of an item into the tray; they must fit."""
        if alike.slots:
            column = alike.column
            self.used[column] += count * alike.slots
            if len(self.options) > 1:
                taken = self.used[column]
                self.options = tuple([g for g in self.options if g[column] >= taken])
        stored = alike.storage[self.berth]
        if stored and self.storage is not None:
            self.storage -= count * stored
        if alike.ribbons and self.ribbons is not None:
            self.ribbons -= count * alike.ribbons
        if alike.label is not None:
            self.label = alike.label
        self.pieces.append((item, count))


@dataclass(frozen=True, slots=True)
class Draft:
    """A packing that keeps every rule. ``settings[t]`` is tray ``t``'s; ``later`` kinds that can still be added."""

    weight: int
    trays: tuple[OpenTray, ...]
    settings: tuple[Vector, ...]
    later: tuple[int, ...]
    opened: int
    pieces: int

    @property
    def rank(self) -> tuple[int, int]:
        """What remains to be compared between packings of equal cost and height."""
        return (self.opened, self.pieces)


def trays_for(case: Case, mix: Mix) -> list[OpenTray]:
    """Empty trays: the hanging ones in their order, then those of the mix."""
    numbered = sorted((number, b) for b, berth in enumerate(case.berths) for number in berth.hanging)
    trays = [OpenTray(case, b, number) for number, b in numbered]
    for offset, count in enumerate(mix):
        trays.extend(OpenTray(case, case.bought_from + offset) for _ in range(count))
    return trays


def room_after(case: Case, mix: Mix) -> int:
    """The stack that is left above a mix."""
    return case.room - sum(n * b.pitch for n, b in zip(mix, case.berths[case.bought_from :], strict=True))


def later_after(case: Case, mix: Mix) -> list[tuple[Berth, int]]:
    """The trays that may still be added after a mix, and how many of each."""
    bought = case.berths[case.bought_from :]
    return [(berth, berth.most - count) for count, berth in zip(mix, bought, strict=True) if berth.most > count]


def reserve_kept(
    case: Case, mix: Mix, empty: Sequence[Berth], need: Vector, budget: Budget
) -> tuple[list[Vector], list[int]] | None:
    """Settings of the empty trays, and later trays, that cover the need by the case's rules; None where none do."""
    later: list[int] | None = []
    if not case.in_stack and case.spare:
        later = fewest_pitches(later_after(case, mix), room_after(case, mix), case.spare)
    if later is None:
        return None
    groups, settled = groups_of([(berth, 1) for berth in empty], case.columns)
    left = less(need, settled)
    if not case.in_stack:
        chosen = {} if not any(left) else cover_banks(groups, left, budget)
    else:
        both = with_later(groups, left, later_after(case, mix), room_after(case, mix), case.spare, budget)
        if both is None:
            return None
        chosen, later = both
    return None if chosen is None else (set_trays(empty, chosen), later)


def settings_for(case: Case, trays: Sequence[OpenTray], need: Vector) -> list[Vector]:
    """A setting for each tray in use, out of those it may still take, that gives most of what is needed."""
    chosen: list[Vector] = []
    for tray in trays:
        options = tray.options
        best = options[0] if len(options) == 1 else max(options, key=lambda g: sum(map(min, g, need)))
        chosen.append(best)
        need = less(need, best)
    return chosen


def closed(case: Case, weight: int, mix: Mix, trays: list[OpenTray]) -> Draft | None:
    """The draft of filled trays: settings chosen so that the reserve is kept, None where they cannot be."""
    need = case.needed
    fixed: dict[int, Vector] = {}
    in_use = [number for number, tray in enumerate(trays) if tray.pieces or len(tray.options) == 1]
    for number, given in zip(in_use, settings_for(case, [trays[n] for n in in_use], need), strict=True):
        fixed[number] = given
        need = less(need, given)
    empty = [number for number in range(len(trays)) if number not in fixed]
    try:
        kept = reserve_kept(case, mix, [case.berths[trays[n].berth] for n in empty], need, Budget(CLOSING_NODES))
    except OutOfNodesError:
        return None
    if kept is None:
        return None
    later = kept[1]
    fixed.update(zip(empty, kept[0], strict=True))
    settings = [fixed[number] for number in range(len(trays))]
    opened = sum(1 for tray in trays if tray.hanging >= 0 and tray.pieces)
    # An item laid into one tray in two turns lies there as one piece.
    pieces = sum(len({item for item, _ in tray.pieces if case.cut_of[item] != LOOSE}) for tray in trays)
    return Draft(weight, tuple(trays), tuple(settings), tuple(later), opened, pieces)
