"""Ways to weigh a bundle by its size, so that bundles that waste a tray's slots weigh what they waste.

Dual feasible functions on a capacity of ``C`` slots, scaled to whole numbers: the ones of Martello and Toth's bound L2,
and ``u^(k)`` and ``phi`` of Fekete and Schepers (2001). None is trusted here: what a tray can hold under a weighing is
worked out by a knapsack over the bundles that there are, so any weighing gives a valid bound, and these good ones.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

_FUNCTIONS = 40


@dataclass(frozen=True, slots=True)
class Sizes:
    """Splices of one slot kind: bundles that stay whole, by size; splices that may lie anywhere; reserve slots."""

    whole: tuple[tuple[int, int], ...]
    units: int
    reserve: int

    def all(self, reserve: bool) -> int:
        """All slots that are asked for, with the reserve or without."""
        return sum(size * count for size, count in self.whole) + self.units + (self.reserve if reserve else 0)


@dataclass(frozen=True, slots=True)
class Weighing:
    """The weight of a whole bundle by size, and of one splice (or slot) that may lie anywhere."""

    by_size: tuple[tuple[int, int], ...]
    unit: int

    def of(self, sizes: Sizes, reserve: bool) -> int:
        """What all splices weigh, with the reserve or without."""
        weights = dict(self.by_size)
        total = sum(count * weights[size] for size, count in sizes.whole)
        return total + self.unit * (sizes.units + (sizes.reserve if reserve else 0))

    def times(self, factor: int) -> Weighing:
        """The same, in other units."""
        return Weighing(tuple((size, weight * factor) for size, weight in self.by_size), self.unit * factor)


def most_held(sizes: Sizes, weighing: Weighing, slots: int, reserve: bool) -> list[int]:
    """The most weight that 0, 1, ... ``slots`` slots hold: a knapsack over the bundles that there are."""
    best = [0] * (slots + 1)
    items = [(size, weight, count) for (size, count), (_, weight) in zip(sizes.whole, weighing.by_size, strict=True)]
    items.append((1, weighing.unit, sizes.units + (sizes.reserve if reserve else 0)))
    for size, weight, count in items:
        count, part = min(count, slots // size), 1
        # Alike ones are taken in parts of 1, 2, 4, ... and a rest, each once or not: that reaches every number of them.
        while count > 0:
            part = min(part, count)
            for n in range(slots, part * size - 1, -1):
                best[n] = max(best[n], best[n - part * size] + part * weight)
            count -= part
            part *= 2
    return best


def linear(sizes: Sizes) -> Weighing:
    """By the slots taken."""
    return Weighing(tuple((size, size) for size, _ in sizes.whole), 1)


def weighings(sizes: Sizes, capacities: Sequence[int]) -> list[Weighing]:
    """The linear weighing first, then the others that differ."""
    found = dict.fromkeys([linear(sizes)])
    present = [size for size, _ in sizes.whole]
    if present:
        for capacity in capacities:
            for function in _functions(capacity, present):
                by_size = tuple((size, function(min(size, capacity))) for size in present)
                found[Weighing(by_size, function(1))] = None
    return list(found)


def _functions(c: int, present: Sequence[int]) -> Iterator[Callable[[int], int]]:
    """Functions of the sizes 0 to ``c``; only those that change at a size that is there can differ."""
    if c < 2:
        return
    steps = sorted({1, *(x for size in present for x in (size, c - size + 1) if 1 < x <= c // 2)})
    for least in steps[:_FUNCTIONS]:
        yield partial(_large_or_small, c, least)
        yield partial(_parts, c, least)
    for k in range(1, min(c, 12)):
        yield partial(_rounded_down, c, k)


def _large_or_small(c: int, least: int, x: int) -> int:
    return 0 if x < least else c if x > c - least else x


def _parts(c: int, least: int, x: int) -> int:
    return 0 if x < least else c // least - (c - x) // least if 2 * x > c else 1


def _rounded_down(c: int, k: int, x: int) -> int:
    return x * k if (k + 1) * x % c == 0 else c * ((k + 1) * x // c)


def sizes_of(whole: Counter[int], units: int, reserve: int) -> Sizes:
    """Sizes in a fixed order."""
    return Sizes(tuple(sorted(whole.items())), units, reserve)
