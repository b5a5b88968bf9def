"""How often bundles must be divided when the trays are nearly full.

Draw a line from each bundle to each tray that it lies in: the pieces are the lines. Bundles and trays that hang
together by lines are a group, and a group of b bundles and t trays has b + t - 1 lines or more. A group needs as many
trays as its splices fill, so n bundles come to n pieces and the sum of (t - 1) over the groups at least, for the best
way to group them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache
from math import prod

_WORK = 2_000_000


def pieces_at_least(sizes: Sequence[int], slots: int, trays: int) -> int | None:
    """The least pieces of bundles in at most so many trays of at most so many slots; None where it was not found out.

    Exact over all ways to group the bundles; bundles of one size are alike. None also where no grouping fits.
    """
    counted = sorted(Counter(sizes).items(), reverse=True)
    kinds = [size for size, _ in counted]
    start = tuple(count for _, count in counted)
    if not slots or prod(count + 1 for count in start) ** 2 * trays > _WORK:
        return None

    @cache
    def more(left: tuple[int, ...], room: int) -> int | None:
        """The least sum of (trays - 1) over groups of what is left."""
        if not any(left):
            return 0
        best: int | None = None
        for group in _groups(left):
            needed = -(-sum(size * n for size, n in zip(kinds, group, strict=True)) // slots)
            if needed > room or (best is not None and needed - 1 >= best):
                continue
            rest = more(tuple(n - taken for n, taken in zip(left, group, strict=True)), room - needed)
            if rest is not None and (best is None or rest + needed - 1 < best):
                best = rest + needed - 1
        return best

    found = more(start, trays)
    return None if found is None else len(sizes) + found


def _groups(left: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    """Groups out of what is left, each with one of the largest that there is, so that none is looked at twice."""
    first = next(place for place, n in enumerate(left) if n)

    def choose(place: int) -> Iterator[tuple[int, ...]]:
        if place == len(left):
            yield ()
            return
        for n in range(1 if place == first else 0, left[place] + 1):
            for rest in choose(place + 1):
                yield (n, *rest)

    yield from choose(0)
