"""Needs that come from the labels: trays that must be there for them, and slots that lie idle in these trays.

Let every berth weigh ``t``, every slot (and unit of storage) ``p``, with no tray giving more than its weight. A tray
that holds a label then wastes what its setting gives less than it weighs, and no label can do better than its cheapest
cover by that waste. So the trays of any packing weigh, together, at least the slots that are needed and the waste of
every label. Any ``t`` and ``p`` make a valid need; good ones are found by a subgradient ascent of that bound
(Lagrangian relaxation), in floating point, and only then turned into integers and evaluated exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from service.planning.packing.budget import Budget
from service.planning.packing.case import Case
from service.planning.packing.covers import Covers
from service.planning.packing.measures import Measure, amounts_of
from service.planning.packing.mixes import MixesCutShortError, mixes
from service.planning.packing.needs import Need

ROUNDS = 80
"""Steps of the subgradient ascent."""

MOST_LOOKS = 500_000
"""How many fillings of labels all steps together may look at; then fewer steps are made."""

FINENESS = 1 << 20
"""Into how many parts a unit of weight is divided when the multipliers are made whole numbers."""

COST_NODES = 400
"""How many mixes may be gone through to see what the needs so far cost at least."""

MOST_SUBSETS = 6
"""With more kinds of trays than this, not every set of kinds is asked what the labels need of it."""


def subset_needs(case: Case, covers: Covers) -> list[Need]:
    """How many trays of each set of kinds the labels need at least, sets that say nothing new left out."""
    kinds = range(len(case.berths))
    if len(kinds) > MOST_SUBSETS:
        return [Need("trays for the labels", covers.least([1] * len(covers.types)), (1,) * len(kinds))]
    known: dict[tuple[int, ...], int] = {(): 0}
    needs: list[Need] = []
    for size in range(1, len(kinds) + 1):
        for chosen in combinations(kinds, size):
            inside = set(chosen)
            amount = covers.least([int(b in inside) for b, _ in covers.types])
            known[chosen] = amount
            parts = [known[tuple([b for b in chosen if b != left])] + known[left,] for left in chosen]
            if amount > (max(parts) if size > 1 else 0):
                named = ", ".join(str(n) for n in sorted(case.berths[b].kind for b in chosen))
                name = "trays for the labels" if size == len(kinds) else f"trays of the kinds {named} for the labels"
                needs.append(Need(name, amount, tuple([int(b in inside) for b in kinds])))
    return needs


def waste_needs(case: Case, measures: Sequence[Measure], covers: Covers) -> list[Need]:
    """The measures by slots once more, with what the labels leave idle."""
    needs: list[Need] = []
    for measure in measures:
        if any(measure.slot):
            name = f"{measure.name}, with what the labels leave idle"
            needs.append(priced(case, covers, name, measure.tray, measure.slot, 0))
    return needs


def priced(case: Case, covers: Covers, name: str, weights: Sequence[int], slots: Sequence[int], storage: int) -> Need:
    """The need by given weights of berths, prices of slots by column, and a price of storage (0: none)."""
    amounts = amounts_of(case)
    need = sum([n * p for n, p in zip(case.used if case.in_stack else case.needed, slots, strict=True)])
    if storage:
        for a, alike in enumerate(case.likenesses):
            need += amounts[a] * storage * min([s for s in alike.storage if s is not None], default=0)
    worth = [
        sum([g * p for g, p in zip(given, slots, strict=True)]) + storage * (case.berths[b].storage or 0)
        for b, given in covers.types
    ]
    gives = list(weights)
    for (b, _), value in zip(covers.types, worth, strict=True):
        gives[b] = max(gives[b], value)
    idle = [gives[b] - value for (b, _), value in zip(covers.types, worth, strict=True)]
    return Need(name, need + covers.least(idle), tuple(gives))


def tuned(case: Case, covers: Covers, name: str, main: Sequence[int], other: Sequence[int], limit: int) -> Need:
    """The need that bounds the sum of ``main`` best where the sum of ``other`` is ``limit`` at most."""
    stored = all(berth.storage is not None for berth in case.berths)
    kinds = range(len(case.berths))
    demand = [float(n) for n in (case.used if case.in_stack else case.needed)]
    gives = [[float(g) for g in given] for _, given in covers.types]
    if stored:
        amounts = amounts_of(case)
        demand.append(
            float(sum(n * min([s for s in a.storage if s is not None], default=0)
                      for n, a in zip(amounts, case.likenesses, strict=True)))
        )  # fmt: skip
        for (b, _), row in zip(covers.types, gives, strict=True):
            row.append(float(case.berths[b].storage or 0))
    dims = range(len(demand))
    scale = [max([row[d] for row in gives]) or 1.0 for d in dims]
    demand = [n / s for n, s in zip(demand, scale, strict=True)]
    gives = [[g / s for g, s in zip(row, scale, strict=True)] for row in gives]
    most = [float(berth.most) for berth in case.berths]
    price = [0.0 for _ in dims]
    extra = [0.0 for _ in kinds]
    toll = 0.0
    best = (-1.0, price, extra, toll)
    reach, idle_rounds = 0.2, 0
    looks = len(covers.types) + sum([len(moves) for table, _ in covers.tables for moves in table])
    for _ in range(min(ROUNDS, 1 + MOST_LOOKS // looks)):
        worth = [sum([g * p for g, p in zip(row, price, strict=True)]) for row in gives]
        base = [m + toll * o for m, o in zip(main, other, strict=True)]
        weight = [b + e for b, e in zip(base, extra, strict=True)]
        active = [-1 for _ in kinds]
        for t, (b, _) in enumerate(covers.types):
            if worth[t] > weight[b]:
                weight[b] = worth[t]
                active[b] = t
        total, counts = covers.chosen([weight[b] - worth[t] for t, (b, _) in enumerate(covers.types)])
        value = total + sum([n * p for n, p in zip(demand, price, strict=True)]) - toll * limit
        value -= sum([(w - b) * m for w, b, m in zip(weight, base, most, strict=True)])
        if value > best[0] + 1e-9:
            best = (value, price, extra, toll)
            idle_rounds = 0
        else:
            idle_rounds += 1
            if idle_rounds == 4:
                reach, idle_rounds = reach / 2, 0
        bought = [0.0 for _ in kinds]
        slope = list(demand)
        for t, (b, _) in enumerate(covers.types):
            if counts[t]:
                bought[b] += counts[t]
                for d in dims:
                    slope[d] -= counts[t] * gives[t][d]
        slope_extra = [0.0 for _ in kinds]
        slope_toll = -float(limit)
        for b in kinds:
            over = bought[b] - most[b]
            if active[b] < 0:
                slope_extra[b] = over
                slope_toll += bought[b] * other[b]
            else:
                for d in dims:
                    slope[d] += over * gives[active[b]][d]
                slope_toll += most[b] * other[b]
        if not any(other):
            slope_toll = 0.0
        # Directions that lead out of the allowed region do not count.
        slope = [0.0 if p <= 0.0 and g < 0.0 else g for p, g in zip(price, slope, strict=True)]
        slope_extra = [0.0 if e <= 0.0 and g < 0.0 else g for e, g in zip(extra, slope_extra, strict=True)]
        if toll <= 0.0 and slope_toll < 0.0:
            slope_toll = 0.0
        square = sum([g * g for g in (*slope, *slope_extra, slope_toll)])
        if square <= 1e-12:
            break
        step = (max(best[0], 1.0) * (1.0 + reach) - value) / square
        price = [max(0.0, p + step * g) for p, g in zip(price, slope, strict=True)]
        extra = [max(0.0, e + step * g) for e, g in zip(extra, slope_extra, strict=True)]
        toll = max(0.0, toll + step * slope_toll)
    _, price, extra, toll = best
    # Storage may come in large numbers: a unit of it is then worth a very small part of a weight.
    unit = FINENESS * max(1, int(max(scale)))
    prices = [int(p / s * unit) for p, s in zip(price, scale, strict=True)]
    weights = [int((m + toll * o + e) * unit) for m, o, e in zip(main, other, extra, strict=True)]
    return priced(case, covers, name, weights, prices[: case.columns], prices[-1] if stored else 0)


def plain_label_needs(case: Case, measures: Sequence[Measure], covers: Covers) -> list[Need]:
    """The needs that come from the labels and are quickly made."""
    return [*subset_needs(case, covers), *waste_needs(case, measures, covers)]


def tuned_label_needs(case: Case, covers: Covers, known: Sequence[Need]) -> list[Need]:
    """Needs with good prices for the labels and the slots; ``known`` are all other needs."""
    pitches = [berth.pitch for berth in case.berths]
    costs = [(berth.weight - berth.pitch) // case.height_unit for berth in case.berths]
    none = [0] * len(costs)
    needs: list[Need] = []
    cost = tuned(case, covers, "cost by the labels and the slots, weighed", costs, none, 0)
    needs.append(cost)
    # So many cost units at least; the height is then bounded for packings that cost no more than that.
    try:
        fewest = next((weight for weight, _ in mixes(case, [*known, *needs], Budget(COST_NODES))), None)
    except MixesCutShortError as cut:
        fewest = cut.weight
    if fewest is not None:
        limit = fewest // case.height_unit
        needs.append(tuned(case, covers, "height by the labels and the slots, weighed", pitches, costs, limit))
    return needs
