"""Sharper measures: what cannot share a tray, or leaves slots that nothing fills, counts for more than its slots.

A measure weighs whole bundles by their size. What a tray gives of it is the heaviest set of bundles that its slots
take, found by dynamic programming, so any weighing is a bound; the useful ones are the dual feasible functions of the
bin packing literature (Martello and Toth's L2; Fekete and Schepers' rounding).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.planning.packing.case import Case, Lot

LotMeasure = tuple[tuple[int, ...], tuple[int, ...]]
"""What one bundle of each lot takes, and what one tray of each berth gives."""

LARGEST_TABLE = 200
"""Trays of more slots than this are not gone through slot by slot."""


def weighings(sizes: Sequence[int], slots: int) -> Iterator[tuple[list[int], int]]:
    """Weights of sizes, and the most that a tray of ``slots`` can hold of them."""
    yield list(sizes), slots
    for small in sorted({size for size in sizes if 1 < size <= slots // 2}):
        yield [slots if s > slots - small else s if s >= small else 0 for s in sizes], slots
    for steps in range(1, 6):
        yield (
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
    found: dict[LotMeasure, None] = {}
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
        for weights, most in weighings(sizes, slots):
            known: dict[int, int] = {}
            for give in set(gives):
                known[give] = most if slots > LARGEST_TABLE else heaviest(give, sizes, weights, counts)
            by_lot = [0] * len(lots)
            for n, weight in zip(rows, weights, strict=True):
                by_lot[n] = weight
            found[tuple(by_lot), tuple(known[give] for give in gives)] = None
    return list(found)


def rules_out(case: Case, measure: LotMeasure, lots: Sequence[Lot], mix: Sequence[int]) -> bool:
    """Whether the hanging trays and a mix give less of the measure than all lots take."""
    taken = sum([lot.count * w for lot, w in zip(lots, measure[0], strict=True)])
    given = sum([n * g for n, g in zip(mix, measure[1][case.bought_from :], strict=True)])
    given += sum([len(b.hanging) * g for b, g in zip(case.berths[: case.bought_from], measure[1], strict=False)])
    return given < taken
