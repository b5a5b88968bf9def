"""Measures: one number for what splices take and what trays give, whatever lies where.

However the splices are laid, no tray holds more of a measure than its capacity, so the trays of a packing give at
least as much of it, added up, as the splices take. Every bound of the core is built on that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import lcm
from operator import mul

from service.planning.packing.case import UNLIMITED, Case
from service.planning.packing.settings import Vector


@dataclass(frozen=True, slots=True)
class Measure:
    """``splice[a]``: taken by one splice of likeness ``a``; ``slot[c]``: by one reserved slot of column ``c``.

    ``tray[b]`` is the most that one tray of berth ``b`` gives. ``name`` says in words what is measured.
    """

    name: str
    splice: tuple[int, ...]
    slot: tuple[int, ...]
    tray: tuple[int, ...]


def measures_of(case: Case) -> list[Measure]:
    """Slots of each column, all slots by their share of a bank, storage and ribbons where every tray limits them."""
    measures: list[Measure] = []
    columns = range(case.columns)
    berths = case.berths
    for c in columns:
        if case.needed[c]:
            measures.append(
                Measure(
                    name=f"slots of kind {case.slot_kinds[c]}",
                    splice=tuple([a.slots if a.column == c else 0 for a in case.likenesses]),
                    slot=tuple([int(c == other) for other in columns]),
                    tray=tuple([max([given[c] for given in berth.settings]) for berth in berths]),
                )
            )
    share = shares_of(case)
    if share is not None and sum(1 for slots in case.needed if slots) > 1:
        measures.append(
            Measure(
                name="slots of all kinds, each by its share of the largest tray",
                splice=tuple(a.slots * share[a.column] for a in case.likenesses),
                slot=share,
                tray=shared_by(case, share),
            )
        )
    nothing = (0,) * case.columns
    if berths and all(berth.storage is not None for berth in berths):
        stored = tuple(min((s for s in a.storage if s is not None), default=0) for a in case.likenesses)
        if any(stored):
            measures.append(Measure("storage", stored, nothing, tuple(berth.storage or 0 for berth in berths)))
    if berths and all(berth.ribbons is not None for berth in berths):
        ends = tuple(a.ribbons for a in case.likenesses)
        if any(ends):
            measures.append(Measure("ribbon ends", ends, nothing, tuple(berth.ribbons or 0 for berth in berths)))
    measures.extend(splices_a_channel_takes(case))
    return measures


def shares_of(case: Case) -> Vector | None:
    """What a slot of each column counts as its share of the largest tray; None where no tray gives what is needed."""
    if case.columns == 1:
        return (1,)
    largest = [max((given[c] for b in case.berths for given in b.settings), default=0) for c in range(case.columns)]
    if any(need and not slots for slots, need in zip(largest, case.needed, strict=True)):
        return None
    whole = lcm(*(slots for slots, need in zip(largest, case.needed, strict=True) if need))
    return tuple([whole // slots if need else 0 for slots, need in zip(largest, case.needed, strict=True)])


def shared_by(case: Case, share: Vector) -> tuple[int, ...]:
    """The most that one tray of each berth gives, counted by such shares."""
    return tuple([max([sum(map(mul, given, share)) for given in berth.settings]) for berth in case.berths])


def splices_a_channel_takes(case: Case) -> list[Measure]:
    """Counts of splices that take much storage: a channel takes a whole number of them, the rest of it lies idle.

    For each likeness, all those that take no less storage in any berth are counted together.
    """
    if all(berth.storage is None for berth in case.berths):
        return []
    likenesses = case.likenesses
    found: dict[tuple[int, ...], Measure] = {}
    for least in likenesses:
        if not any(least.storage):
            continue
        heavy = [
            a for a in likenesses
            if all(s is None or (at_least is not None and s >= at_least)
                   for s, at_least in zip(a.storage, least.storage, strict=True))
        ]  # fmt: skip
        tray: list[int] = []
        tighter = False
        for b, berth in enumerate(case.berths):
            allowed = [a for a in heavy if a.storage[b] is not None]
            if not allowed:
                tray.append(0)
                continue
            by_slots = UNLIMITED
            if all(a.slots for a in allowed):
                columns = {a.column for a in allowed}
                by_slots = max([sum([given[c] for c in columns]) for given in berth.settings])
            lightest = min([a.storage[b] or 0 for a in allowed])
            by_storage = berth.storage // lightest if berth.storage is not None and lightest else UNLIMITED
            tighter = tighter or by_storage < by_slots
            tray.append(min(by_slots, by_storage))
        if tighter and max(tray) < UNLIMITED:
            chosen = {id(a) for a in heavy}
            counted = tuple([int(id(a) in chosen) for a in likenesses])
            found[counted] = Measure("whole splices that a channel takes", counted, (0,) * case.columns, tuple(tray))
    return list(found.values())


def amounts_of(case: Case) -> list[int]:
    """How many splices of each likeness there are to place."""
    amounts = [0] * len(case.likenesses)
    for alike, size in zip(case.alike_of, case.sizes, strict=True):
        amounts[alike] += size
    return amounts


def trays_at_least(case: Case, measures: Sequence[Measure], amounts: Sequence[int]) -> int:
    """How many trays must hold something: splices of different labels never share one."""
    if not any(amounts):
        return 0
    by_label: dict[int | None, list[int]] = {}
    for alike, likeness in enumerate(case.likenesses):
        if amounts[alike]:
            by_label.setdefault(likeness.label, []).append(alike)
    total = 0
    for label, alikes in by_label.items():
        if label is None:
            continue
        trays = 1
        for measure in measures:
            largest = max(measure.tray)
            taken = sum(amounts[a] * measure.splice[a] for a in alikes)
            if largest > 0 and taken > 0:
                trays = max(trays, -(-taken // largest))
        total += trays
    return max(total, 1)
