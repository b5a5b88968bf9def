"""A packing out of trays that hold parts: which bundles the parts belong to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from service.planning.packing.case import LOOSE, WHOLE
from service.planning.packing.drafts import Draft, trays_for
from service.planning.packing.mixes import Mix
from service.planning.packing.patterns.laid import laid
from service.planning.packing.patterns.master import Master
from service.planning.packing.patterns.ways import Cut
from service.planning.packing.rebuilding import settled, take_tray


def parts_joined(master: Master, counts: Sequence[int], weight: int, mix: Mix) -> Draft | None:
    """The packing in which bundles are cut as the columns say; None where the solver has erred."""
    model = master.model
    case = model.case
    items: dict[int, list[int]] = {n: [] for n in range(len(model.lots))}
    numbers = {(lot.alike, lot.size, lot.cut): n for n, lot in enumerate(model.lots)}
    singles: dict[int, list[list[int]]] = {}
    for item, (alike, size, divided) in enumerate(zip(case.alike_of, case.sizes, case.cut_of, strict=True)):
        if size and divided == LOOSE:
            singles.setdefault(alike, []).append([item, size])
        elif size:
            items[numbers[alike, size, divided if size > 1 else WHOLE]].append(item)
    made: Counter[Cut] = Counter()
    for column, times in zip(master.pool, counts, strict=False):
        for cut in column.cuts:
            made[cut] += times
    # The largest first: what is cut may itself be a part.
    for cut in sorted(made, key=lambda cut: (-model.lots[cut[0]].size, cut)):
        for _ in range(made[cut]):
            if not items[cut[0]]:
                return None
            item = items[cut[0]].pop()
            items[cut[1]].append(item)
            items[cut[2]].append(item)
    supply = {n: len(rows) for n, rows in items.items()}
    for n, lot in enumerate(model.lots):
        if lot.cut == LOOSE:
            supply[n] = lot.count
    found = laid(master, counts, mix, supply)
    if found is None:
        return None
    trays, used = trays_for(case, mix), set[int]()
    for b, given, filling in found:
        tray = take_tray(trays, used, b, given)
        parts: Counter[int] = Counter()
        for n, count in enumerate(filling):
            lot = model.lots[n]
            if lot.cut == LOOSE:
                for row in singles.get(lot.alike, ()):
                    some = min(row[1], count)
                    parts[row[0]] += some
                    row[1] -= some
                    count -= some
            else:
                for _ in range(count):
                    parts[items[n].pop()] += lot.size
        for item, splices in sorted(parts.items()):
            if splices:
                tray.put(case.likenesses[case.alike_of[item]], item, splices)
    return settled(case, weight, mix, trays, singles)
