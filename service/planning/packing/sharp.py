"""Sharper measures: what cannot share a tray, or leaves slots that nothing fills, counts for more than its slots.

A measure weighs whole bundles by their size. What a tray gives of it is the heaviest set of bundles that its slots
take, found by dynamic programming, so any weighing is a bound; the useful ones are the dual feasible functions of the
bin packing literature (Martello and Toth's L2; Fekete and Schepers' rounding).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.planning.packing.case import UNLIMITED, Case, Lot


@dataclass(frozen=True, slots=True)
class LotMeasure:
    """``lots[n]``: taken by one bundle of each lot; ``tray[b]``: the most that one tray of each berth gives."""

    name: str
    lots: tuple[int, ...]
    tray: tuple[int, ...]


LARGEST_TABLE = 200
"""Trays of more slots than this are not gone through slot by slot."""


def weighings(sizes: Sequence[int], slots: int) -> Iterator[tuple[str, list[int], int]]:
    """Weights of sizes, and the most that a tray of ``slots`` can hold of them, each with the weighing's name."""
    yield "slots that whole bundles fill", list(sizes), slots
    for small in sorted({size for size in sizes if 1 < size <= slots // 2}):
        weights = [slots if s > slots - small else s if s >= small else 0 for s in sizes]
        yield f"bundles weighed by the dual feasible function u with parameter {small} of {slots}", weights, slots
    for steps in range(1, 6):
        yield (
            f"bundles rounded by the dual feasible function f with parameter {steps}",
            [s * steps if (steps + 1) * s % slots == 0 else slots * ((steps + 1) * s // slots) for s in sizes],
            slots * steps,
        )


def heaviest(slots: int, sizes: Sequence[int], weights: Sequence[int], counts: Sequence[int]) -> int:
    """The weight of the heaviest set of bundles that so many slots take."""
    best = [0] * (slots + 1)
    for size, weight, count in zip(sizes, weights, counts, strict=True):
        if not weight or size > slots:
            continue
        for _ in range(min(count, slots // size)):
            changed = False
            for room in range(slots, size - 1, -1):
                with_one = best[room - size] + weight
                if with_one > best[room]:
                    best[room] = with_one
                    changed = True
            if not changed:
                break
    return best[slots]


def sharp_measures(case: Case, lots: Sequence[Lot]) -> list[LotMeasure]:
    """Measures of whole bundles, column by column."""
    found: dict[tuple[tuple[int, ...], tuple[int, ...]], LotMeasure] = {}
    for column in range(case.columns):
        rows = [n for n, lot in enumerate(lots) if case.likenesses[lot.alike].column == column
                and case.likenesses[lot.alike].slots]  # fmt: skip
        if not rows:
            continue
        gives = [max(given[column] for given in berth.settings) for berth in case.berths]
        slots = max(gives)
        sizes = [lots[n].size * case.likenesses[lots[n].alike].slots for n in rows]
        counts = [lots[n].count for n in rows]
        if slots > LARGEST_TABLE and any(g != slots for g in gives):
            continue
        for name, weights, most in weighings(sizes, slots):
            known: dict[int, int] = {}
            for give in set(gives):
                known[give] = most if slots > LARGEST_TABLE else heaviest(give, sizes, weights, counts)
            by_lot = [0] * len(lots)
            for n, weight in zip(rows, weights, strict=True):
                by_lot[n] = weight
            key = (tuple(by_lot), tuple(known[give] for give in gives))
            if key not in found:
                found[key] = LotMeasure(f"{name}, kind {case.slot_kinds[column]}", *key)
    for key in counts_by_storage(case, lots):
        found.setdefault(key, LotMeasure("whole bundles that a channel takes", *key))
    return list(found.values())


def counts_by_storage(case: Case, lots: Sequence[Lot]) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Counts of bundles that take much storage: for each lot, all lots that take no less of it in any berth."""
    if all(berth.storage is None for berth in case.berths):
        return []
    stored = [tuple([None if s is None else s * lot.size for s in case.likenesses[lot.alike].storage]) for lot in lots]
    found: list[tuple[tuple[int, ...], tuple[int, ...]]] = []
    for least in stored:
        if not any(least):
            continue
        heavy = [
            all(s is None or (low is not None and s >= low) for s, low in zip(row, least, strict=True))
            for row in stored
        ]
        gives: list[int] = []
        for b, berth in enumerate(case.berths):
            inside = [row[b] or 0 for row, chosen in zip(stored, heavy, strict=True) if chosen and row[b] is not None]
            count = UNLIMITED
            if not inside:
                count = 0
            elif berth.storage is not None and min(inside):
                count = berth.storage // min(inside)
            gives.append(count)
        if max(gives) < UNLIMITED:
            found.append((tuple([int(chosen) for chosen in heavy]), tuple(gives)))
    return found
