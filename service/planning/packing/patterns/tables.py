"""The heaviest sets of bundles that fit into what is left of a tray, under whole-number prices: exact, by dynamic
programming over slots and one resource more."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from service.planning.packing.patterns.model import Model
from service.planning.packing.settings import Vector

NARROW = 64
"""Trays of more slots than this are gone through in arrays."""

Picked = list[tuple[int, int]]
"""(lot, how many bundles of it)."""


Row = tuple[int, int, int, int, int]
"""(lot, slots a bundle, bundles, price of one, units of the second resource a bundle)."""


class SlotTable:
    """Lots of one column where only slots matter: ``stages[j][r]`` is what the first ``j`` give in ``r`` slots."""

    def __init__(self, rows: Sequence[Row], slots: int, before: SlotTable | None) -> None:
        fresh = [row for row in rows if row[1] <= slots]
        self.rows: list[Row] = fresh if before is None else before.rows + fresh
        self.stages: list[list[int]] = [[0] * (slots + 1)] if before is None else list(before.stages)
        best = self.stages[-1]
        for _, size, count, price, _ in fresh:
            earlier = best
            if size == 0:
                best = [value + count * price for value in earlier]
            else:
                best = earlier[:]
                for times in range(1, min(count, slots // size) + 1):
                    add, gain = times * size, times * price
                    for r in range(add, slots + 1):
                        value = earlier[r - add] + gain
                        if value > best[r]:
                            best[r] = value
            self.stages.append(best)

    def picked(self, slots: int) -> Picked:
        """The heaviest set that so many slots take."""
        found: Picked = []
        for j in range(len(self.rows), 0, -1):
            lot, size, count, price, _ = self.rows[j - 1]
            value = self.stages[j][slots]
            for times in range(min(count, slots // size) if size else count, -1, -1):
                if self.stages[j - 1][slots - times * size] + times * price == value:
                    if times:
                        found.append((lot, times))
                    slots -= times * size
                    break
        return found


class RoomTable:
    """Lots of one column by slots and units of the second resource, in arrays."""

    def __init__(self, rows: Sequence[Row], slots: int, limit: int, before: RoomTable | None) -> None:
        import numpy

        fresh = [row for row in rows if row[1] <= slots and row[4] <= limit]
        self.rows: list[Row] = fresh if before is None else before.rows + fresh
        first = numpy.zeros((slots + 1, limit + 1), dtype=numpy.int64)
        self.stages: list[Any] = [first] if before is None else list(before.stages)
        best = self.stages[-1]
        for _, size, count, price, load in fresh:
            earlier, best = best, best.copy()
            for times in range(1, count + 1):
                s, u = times * size, times * load
                if s > slots or u > limit:
                    break
                part = best[s:, u:]
                numpy.maximum(part, earlier[: slots + 1 - s, : limit + 1 - u] + times * price, out=part)
            self.stages.append(best)

    def curve(self, slots: int) -> Any:
        """The heaviest set for each number of units."""
        return self.stages[-1][slots]

    def picked(self, slots: int, units: int) -> Picked:
        """One heaviest set."""
        found: Picked = []
        for j in range(len(self.rows), 0, -1):
            lot, size, count, price, load = self.rows[j - 1]
            value = self.stages[j][slots, units]
            for times in range(count, -1, -1):
                s, u = slots - times * size, units - times * load
                if s >= 0 and u >= 0 and self.stages[j - 1][s, u] + times * price == value:
                    if times:
                        found.append((lot, times))
                    slots, units = s, u
                    break
        return found


class BerthTable:
    """The tables of one berth for some of the lots, column by column, and what a vector of free slots takes."""

    def __init__(
        self,
        model: Model,
        prices: Sequence[int],
        b: int,
        lots: Sequence[int],
        slots: Vector,
        before: BerthTable | None = None,
    ) -> None:
        """``before`` holds the tables of other lots that may lie beside these."""
        case, room = model.case, model.rooms[b]
        self.limit = room.limit if room.limit is not None or max(slots) <= NARROW else 0
        columns: dict[int, list[Row]] = {}
        for n in lots:
            load = room.loads[n]
            if load is not None and prices[n] > 0 and model.supply[n]:
                alike = case.likenesses[model.lots[n].alike]
                row = (n, model.lots[n].size * alike.slots, model.supply[n], prices[n], load)
                columns.setdefault(alike.column, []).append(row)
        self.plain: dict[int, SlotTable] = {} if before is None else dict(before.plain)
        self.double: dict[int, RoomTable] = {} if before is None else dict(before.double)
        for c, rows in columns.items():
            if self.limit is None:
                self.plain[c] = SlotTable(rows, slots[c], self.plain.get(c))
            else:
                self.double[c] = RoomTable(rows, slots[c], self.limit, self.double.get(c))
        self.known: dict[tuple[Vector, int], int] = {}
        self.made: dict[Vector, list[Any]] = {}

    def value(self, free: Vector, units: int) -> int:
        """The heaviest set of the lots that so many free slots and units take."""
        if self.limit is None:
            total = 0
            for c, table in self.plain.items():
                total += table.stages[-1][free[c]]
            return total
        key = (free, units)
        value = self.known.get(key)
        if value is None:
            curves = self.curves(free)
            value = self.known[key] = int(curves[-1][units]) if curves else 0
        return value

    def curves(self, free: Vector) -> list[Any]:
        """The heaviest sets of the first columns together, for each number of units."""
        found = self.made.get(free)
        if found is not None:
            return found
        found = self.made[free] = []
        for c, table in self.double.items():
            curve = table.curve(free[c])
            found.append(curve if not found else joined(found[-1], curve))
        return found

    def picked(self, free: Vector, units: int) -> Picked:
        """One heaviest set."""
        if self.limit is None:
            return [pair for c, table in self.plain.items() for pair in table.picked(free[c])]
        found: Picked = []
        curves = self.curves(free)
        tables = list(self.double.items())
        for place in range(len(curves) - 1, -1, -1):
            c, table = tables[place]
            own = units
            if place:
                curve = table.curve(free[c])
                target = curves[place][units]
                own = next(u for u in range(units + 1) if curve[u] + curves[place - 1][units - u] == target)
            found.extend(table.picked(free[c], own))
            units -= own
        return found


def joined(one: Any, other: Any) -> Any:
    """The best of both for each number of units shared between them."""
    import numpy

    best = one + other[0]
    last = int(other[0])
    for units in range(1, len(other)):
        value = int(other[units])
        if value > last:
            last = value
            part = best[units:]
            numpy.maximum(part, one[: len(one) - units] + value, out=part)
    return best
