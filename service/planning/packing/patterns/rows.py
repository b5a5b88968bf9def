"""The rows of the linear programme, and whole-number prices out of what it says that they are worth."""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.patterns.limits import Limit
from service.planning.packing.patterns.model import Model
from service.planning.packing.patterns.prices import Prices, whole
from service.planning.packing.patterns.pricing import CUTS, Column
from service.planning.packing.patterns.serving import trays_at_least

LARGEST = 1e30
"""No limit in the linear programme."""

Entries = list[tuple[int, float]]
"""(row, how much of it)."""


class Rows:
    """Where what is asked for stands; ``bounds[row]`` are (least, most)."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.bounds: list[tuple[float, float]] = []
        case, add = model.case, self.add
        self.first = case.bought_from
        # All bundles at this price, with a toll as high, still add up to less than arrays of 64 bits can hold.
        self.highest = (1 << 60) // (1 + sum(model.supply))
        self.lot = {n: add(model.lots[n].count, LARGEST) for n in model.priced}
        self.label = {g: add(1.0, LARGEST) for g, group in enumerate(model.groups) if group.ways is not None}
        self.slot = [add(slots, LARGEST) for slots in (case.used if case.in_stack else case.needed)]
        self.later = [add(slots, LARGEST) for slots in case.needed] if case.in_stack else []
        self.tray = [add(-LARGEST, 0.0) for _ in case.berths]
        self.stack = add(-LARGEST, case.room)
        self.cost = add(-LARGEST, LARGEST)
        self.most = [add(-LARGEST, berth.most) for berth in case.berths[self.first :]]
        self.trays_for = {
            g: add(trays_at_least(model, group), LARGEST) for g, group in enumerate(model.groups) if group.ways is None
        }
        self.cuts = add(-LARGEST, LARGEST)
        self.spare = add(case.spare, LARGEST) if model.later else -1

    def add(self, low: float, high: float) -> int:
        """Add a row; gives its number."""
        self.bounds.append((low, high))
        return len(self.bounds) - 1

    def of_trays(self, b: int, cost: int) -> Entries:
        """What the number of trays of a berth has in the rows."""
        entries = [(self.tray[b], -1.0)]
        if b >= self.first:
            entries += [(self.stack, float(self.model.case.berths[b].pitch)), (self.cost, float(cost))]
            entries.append((self.most[b - self.first], 1.0))
        return entries

    def of_later(self, t: int) -> Entries:
        """The same for trays of a type that can be added later."""
        kind = self.model.types[t]
        entries = [(self.stack, float(self.model.case.berths[kind.berth].pitch)), (self.spare, 1.0)]
        entries.append((self.most[kind.berth - self.first], 1.0))
        if self.later:
            entries += [(row, float(g)) for row, g in zip(self.later, kind.given, strict=True)]
        return entries

    def of_column(self, column: Column) -> Entries:
        """The same for a column."""
        found: dict[int, float] = {}
        if column.cuts:
            found[self.cuts] = float(len(column.cuts))
        if column.group == CUTS:
            ((lot, one, other),) = [[self.lot[n] for n in cut] for cut in column.cuts]
            found[lot], found[one] = 1.0, -1.0
            found[other] = found.get(other, 0.0) - 1.0
        for rows in (self.label, self.trays_for):
            if column.group in rows:
                found[rows[column.group]] = 1.0
        for t, picked in column.trays:
            kind = self.model.types[t]
            found[self.tray[kind.berth]] = found.get(self.tray[kind.berth], 0.0) + 1.0
            for n, count in picked:
                if n in self.lot:
                    found[self.lot[n]] = found.get(self.lot[n], 0.0) + count
            for c, slots in enumerate(kind.given):
                if slots:
                    for row in (self.slot[c], *self.later[c : c + 1]):
                        found[row] = found.get(row, 0.0) + slots
        return list(found.items())

    def prices(self, dual: Sequence[float], limits: Sequence[Limit]) -> Prices:
        """Prices out of the rows' duals, those of the limits coming last."""
        lots = [0] * len(self.model.lots)
        for n, row in self.lot.items():
            lots[n] = min(self.highest, whole(dual[row]))
        later = self.model.later
        prices = Prices(
            lots=lots,
            slots=[whole(dual[row]) for row in self.slot],
            later=[whole(dual[row]) for row in self.later] or [0 for _ in self.slot],
            trays=[whole(-dual[row]) for row in self.tray],
            stack=whole(-dual[self.stack]) if later else 0,
            spare=whole(dual[self.spare]) if later else 0,
            labels=[
                whole(dual[self.trays_for[g]]) if g in self.trays_for else 0 for g in range(len(self.model.groups))
            ],
            cut=whole(-dual[self.cuts]),
        )
        for limit, value in zip(limits, dual[len(self.bounds) :], strict=True):
            toll = min(self.highest, whole(-value)) if value < 0 else -min(self.highest, whole(value))
            if toll:
                prices.allowance += toll * (limit.high if toll > 0 else limit.low)
                self.charge(prices, limit, toll)
        return prices

    def charge(self, prices: Prices, limit: Limit, toll: int) -> None:
        """Add the toll of one limit."""
        if limit.cut is not None:
            prices.cut_tolls[limit.cut] = prices.cut_tolls.get(limit.cut, 0) + toll
            return
        for t, times in enumerate(limit.counts):
            if times and limit.lot is not None:
                prices.lot_tolls[t, limit.lot] = prices.lot_tolls.get((t, limit.lot), 0) + toll * times
            elif times:
                for group in [limit.group] if limit.group is not None else range(-1, len(self.model.groups)):
                    prices.tolls[t, group] = prices.tolls.get((t, group), 0) + toll * times
