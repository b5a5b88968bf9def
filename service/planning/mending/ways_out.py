"""Every way of leaving out a number of splices."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from service.planning.packing.problem import Item

Cut = Literal["not at all", "together", "each"]
"""How bundles that are alike may be left out in part: only whole ones; so many of them together, whichever they are
(where dividing is free, that makes no difference); or so many of each."""


@dataclass(frozen=True, slots=True)
class Alike:
    """Bundles that are alike, the last one first."""

    size: int
    cut: Cut
    places: tuple[int, ...]

    @property
    def step(self) -> int:
        """Splices can be left out in multiples of this."""
        return self.size if self.cut == "not at all" else 1

    @property
    def all(self) -> int:
        """All their splices."""
        return self.size * len(self.places)

    def ways(self, count: int) -> Iterator[dict[int, int]]:
        """Every way of leaving out so many of them, by place."""
        if self.cut == "each":
            for parts in _parts(count, self.size, len(self.places)):
                yield dict(zip(self.places, parts, strict=False))
        else:
            full, rest = divmod(count, self.size)
            parts = [self.size] * full + ([rest] if rest else [])
            yield dict(zip(self.places, parts, strict=False))


def ways_out(items: Mapping[int, Item], cut_of: Callable[[int], Cut], leave: int) -> Iterator[dict[int, int]]:
    """Every way of leaving out exactly so many splices: by place of the bundle, how many of it.

    Of bundles that are alike the last ones are left out first, and choices that differ in nothing else are told once.
    """
    groups: dict[tuple[Item, Cut], list[int]] = {}
    for place, item in items.items():
        groups.setdefault((item, cut_of(place)), []).append(place)
    alike = [Alike(item.size, cut, tuple(places[::-1])) for (item, cut), places in groups.items()]
    reached = _reached(alike, leave)

    def choose(number: int, left: int) -> Iterator[dict[int, int]]:
        if number == len(alike):
            yield {}
            return
        group = alike[number]
        for taken in range(0, min(left, group.all) + 1, group.step):
            if reached[number + 1] >> (left - taken) & 1:
                for mine in group.ways(taken):
                    for rest in choose(number + 1, left - taken):
                        yield {**mine, **rest}

    return choose(0, leave) if reached[0] >> leave & 1 else iter(())


def _reached(groups: list[Alike], leave: int) -> list[int]:
    """By group, the sums (as bits) that it and those after it can come to, so that no blind alley is entered."""
    reached = [1]
    mask = (1 << (leave + 1)) - 1
    for group in reversed(groups):
        sums = 0
        for taken in range(0, min(leave, group.all) + 1, group.step):
            sums |= reached[-1] << taken
        reached.append(sums & mask)
    return reached[::-1]


def _parts(count: int, largest: int, most: int) -> Iterator[list[int]]:
    """Every way to write a number as at most so many parts, the larger ones first."""
    if count == 0:
        yield []
    elif most:
        for first in range(min(count, largest), -(-count // most) - 1, -1):
            for rest in _parts(count - first, first, most - 1):
                yield [first, *rest]
