"""Measures: one number for what splices take and what trays give, whatever lies where.

However the splices are laid, no tray holds more of a measure than its capacity, so the trays of a packing give at
least as much of it, added up, as the splices take. Every bound of the core is built on that.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import lcm

from service.planning.packing.case import Case


@dataclass(frozen=True, slots=True)
class Measure:
    """``splice[a]``: taken by one splice of likeness ``a``; ``slot[c]``: by one reserved slot of column ``c``.

    ``tray[b]`` is the most that one tray of berth ``b`` gives.
    """

    splice: tuple[int, ...]
    slot: tuple[int, ...]
    tray: tuple[int, ...]


def measures_of(case: Case) -> list[Measure]:
    """Slots of each column, all slots by their share of a bank, storage and ribbons where every tray limits them."""
    measures: list[Measure] = []
    columns = range(case.columns)
    berths = case.berths
    largest = [max((given[c] for berth in berths for given in berth.settings), default=0) for c in columns]
    for c in columns:
        if case.needed[c]:
            measures.append(
                Measure(
                    splice=tuple([a.slots if a.column == c else 0 for a in case.likenesses]),
                    slot=tuple([int(c == other) for other in columns]),
                    tray=tuple([max([given[c] for given in berth.settings]) for berth in berths]),
                )
            )
    if sum(1 for slots in case.needed if slots) > 1 and all(
        slots > 0 for slots, need in zip(largest, case.needed, strict=True) if need
    ):
        whole = lcm(*(slots for slots, need in zip(largest, case.needed, strict=True) if need))
        share = tuple(whole // slots if need else 0 for slots, need in zip(largest, case.needed, strict=True))
        measures.append(
            Measure(
                splice=tuple(a.slots * share[a.column] for a in case.likenesses),
                slot=share,
                tray=tuple(
                    max(sum(g * n for g, n in zip(given, share, strict=True)) for given in berth.settings)
                    for berth in berths
                ),
            )
        )
    nothing = (0,) * case.columns
    if berths and all(berth.storage is not None for berth in berths):
        stored = tuple(min((s for s in a.storage if s is not None), default=0) for a in case.likenesses)
        if any(stored):
            measures.append(Measure(stored, nothing, tuple(berth.storage or 0 for berth in berths)))
    if berths and all(berth.ribbons is not None for berth in berths):
        ends = tuple(a.ribbons for a in case.likenesses)
        if any(ends):
            measures.append(Measure(ends, nothing, tuple(berth.ribbons or 0 for berth in berths)))
    return measures


def amounts_of(case: Case) -> list[int]:
    """How many splices of each likeness there are to place."""
    amounts = [0] * len(case.likenesses)
    for alike, size in zip(case.alike_of, case.sizes, strict=True):
        amounts[alike] += size
    return amounts


def trays_at_least(case: Case, measures: list[Measure], amounts: list[int]) -> int:
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
