"""The case as fillings of trays see it: types of trays, bundles that share them, and labels that keep apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

from service.planning.packing.case import Case, Lot
from service.planning.packing.patterns.ways import Cut, Ways, ways_of
from service.planning.packing.settings import Vector

FINEST = 150
"""Into how many units a channel (or an entry) is divided at most; loads are rounded down to them, which is a bound."""


@dataclass(frozen=True, slots=True)
class TrayType:
    """A berth with one of its settings, and the slots that it gives."""

    berth: int
    given: Vector


@dataclass(frozen=True, slots=True)
class Room:
    """What a tray of one berth takes beside slots: ``limit`` units (None: nothing is in reach), ``loads[n]`` by lot.

    ``loads[n]`` is None where lot ``n`` may not lie in the berth. The storage where it is limited, else ribbon ends.
    """

    limit: int | None
    loads: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """The lots of one label, and all ways to place them tray by tray; None where there are too many to list."""

    label: int
    lots: tuple[int, ...]
    types: tuple[int, ...]
    ways: Ways | None


@dataclass(frozen=True, slots=True)
class Model:
    """``shared`` are the lots without a label; ``later`` whether room for trays to be added later is kept.

    ``supply[n]`` is how many bundles of lot ``n`` there can be in one tray, ``cuts`` how those
    may be cut whose labels' ways are not listed.
    """

    case: Case
    lots: tuple[Lot, ...]
    types: tuple[TrayType, ...]
    rooms: tuple[Room, ...]
    shared: tuple[int, ...]
    groups: tuple[Group, ...]
    later: bool
    supply: tuple[int, ...]
    cuts: tuple[Cut, ...] = ()

    @property
    def priced(self) -> tuple[int, ...]:
        """The lots that have a price of their own: all but those of labels whose ways are listed."""
        loose = [n for group in self.groups if group.ways is None for n in group.lots]
        return tuple(sorted([*self.shared, *loose]))


def room_of(case: Case, lots: Sequence[Lot], b: int) -> Room:
    """The second resource of a berth, in units no finer than ``FINEST`` of them."""
    berth = case.berths[b]
    barred = [case.likenesses[lot.alike].storage[b] is None for lot in lots]
    if berth.storage is not None:
        limit = berth.storage
        loads = [lot.size * (case.likenesses[lot.alike].storage[b] or 0) for lot in lots]
    elif berth.ribbons is not None:
        limit = berth.ribbons
        loads = [lot.size * case.likenesses[lot.alike].ribbons for lot in lots]
    else:
        return Room(None, tuple([None if out else 0 for out in barred]))
    unit = gcd(limit, *loads) or 1
    if limit // unit > FINEST:
        unit = -(-limit // FINEST)
    return Room(limit // unit, tuple([None if out else load // unit for out, load in zip(barred, loads, strict=True)]))


def model_of(
    case: Case, lots: Sequence[Lot], supply: Sequence[int] = (), cuts: Sequence[Cut] = (), most: int = 0
) -> Model:
    """The model of a case whose lots are these, of which ``most`` may be cut."""
    types = tuple([TrayType(b, given) for b, berth in enumerate(case.berths) for given in berth.settings])
    rooms = tuple([room_of(case, lots, b) for b in range(len(case.berths))])
    by_label: dict[int, list[int]] = {}
    shared: list[int] = []
    for n, lot in enumerate(lots):
        label = case.likenesses[lot.alike].label
        if label is None:
            shared.append(n)
        else:
            by_label.setdefault(label, []).append(n)
    groups = []
    for label, numbers in sorted(by_label.items()):
        fit = tuple([t for t, kind in enumerate(types) if case.berths[kind.berth].label in (None, label)])
        pairs = [(types[t].berth, types[t].given) for t in fit]
        ways = ways_of(case, lots, numbers, fit, pairs, cuts, most)
        groups.append(Group(label, tuple(numbers), fit, ways))
    later = case.in_stack or case.spare > 0
    listed = {n for group in groups if group.ways is not None for n in group.lots}
    free_cuts = tuple([cut for cut in cuts if cut[0] not in listed])
    counts = tuple(supply) or tuple([lot.count for lot in lots])
    return Model(case, tuple(lots), types, rooms, tuple(shared), tuple(groups), later, counts, free_cuts)
