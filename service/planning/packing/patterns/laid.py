"""From columns that are taken so many times to trays, every rule checked again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from service.planning.packing.covers import fitting
from service.planning.packing.drafts import Draft
from service.planning.packing.mixes import Mix
from service.planning.packing.patterns.master import Master
from service.planning.packing.rebuilding import from_room
from service.planning.packing.search import Found


def laid(master: Master, counts: Sequence[int], mix: Mix, supply: Mapping[int, int]) -> Found | None:
    """The trays of the columns taken, no bundle in more than one of them; ``supply`` are the bundles of each lot.

    None where a bundle is in none, a tray holds too much, or the mix has not so many trays: the solver may err.
    """
    model = master.model
    case = model.case
    left = Counter(supply)
    found: Found = []
    for column, times in zip(master.pool, counts, strict=False):
        for _ in range(times):
            for t, picked in column.trays:
                filling = [0] * len(model.lots)
                for n, count in picked:
                    filling[n] = min(count, left[n])
                    left[n] -= filling[n]
                kind = model.types[t]
                if not fitting(case, model.lots, filling, kind.berth, kind.given):
                    return None
                found.append((kind.berth, kind.given, tuple(filling)))
    free = [*[len(berth.hanging) for berth in case.berths[: case.bought_from]], *mix]
    taken = Counter(b for b, _, _ in found)
    return None if any(left.values()) or any(taken[b] > n for b, n in enumerate(free)) else found


def whole_bundles(master: Master, counts: Sequence[int], weight: int, mix: Mix) -> Draft | None:
    """The packing where no bundle is cut."""
    model = master.model
    found = laid(master, counts, mix, {n: lot.count for n, lot in enumerate(model.lots)})
    return None if found is None else from_room(model.case, weight, mix, found)
