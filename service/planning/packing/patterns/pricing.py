"""Every filling there is, held against whole-number prices: the exact bound, and the columns that beat it."""

from __future__ import annotations

from dataclasses import dataclass

from service.planning.packing.case import UNLIMITED
from service.planning.packing.patterns.model import Group, Model
from service.planning.packing.patterns.prices import Prices
from service.planning.packing.patterns.serving import trays_at_least
from service.planning.packing.patterns.tables import BerthTable
from service.planning.packing.patterns.ways import Cut
from service.planning.packing.settings import Vector

TrayUse = tuple[int, tuple[tuple[int, int], ...]]
"""(type, (lot, bundles) that lie in it) of one tray."""


CUTS = -2
"""In the place of a label: a cut alone."""


@dataclass(frozen=True, slots=True)
class Column:
    """Trays that are used together: one tray, or all trays of a label (``group``; -1: of none), and cuts made for them.

    A cut of what no listed way cuts is a column of its own (group ``CUTS``).
    """

    group: int
    trays: tuple[TrayUse, ...]
    cuts: tuple[Cut, ...] = ()


@dataclass(slots=True)
class Verdict:
    """``amount`` that all trays must weigh together, ``gives[b]`` what one of berth ``b`` weighs at most: exact.

    ``columns`` are those that the prices undervalue.
    """

    amount: int
    gives: list[int]
    columns: list[Column]


Rest = tuple[int, int, Vector, int]
"""(type, its berth, free slots, units of the second resource) left beside a filling of a label."""


class Pricing:
    """The fillings of a model, priced again and again."""

    def __init__(self, model: Model) -> None:
        self.model = model
        case = model.case
        columns = range(case.columns)
        self.widest = [tuple([max([g[c] for g in berth.settings]) for c in columns]) for berth in case.berths]
        self.rests: list[list[list[Rest]]] = [self.rests_of(group) for group in model.groups]
        # One round of pricing counts as so many nodes: about what it takes beside the nodes of the other searches.
        steps = sum([len(row) for rests in self.rests for row in rests])
        steps += sum([len(row) for group in model.groups if group.ways is not None for row in group.ways.moves])
        self.toll = 30 + steps // 60
        # Berths that take the same lots under no second limit share their tables.
        shares: dict[object, int] = {}
        self.table_of: list[int] = []
        for b, room in enumerate(model.rooms):
            key: object = b if room.limit is not None else tuple([load is None for load in room.loads])
            self.table_of.append(shares.setdefault(key, b))
        self.slots = list(self.widest)
        for b, at in enumerate(self.table_of):
            self.slots[at] = tuple([max(one, two) for one, two in zip(self.slots[at], self.widest[b], strict=True)])

    def rests_of(self, group: Group) -> list[list[Rest]]:
        """For each filling of a label and each type that takes it, what is left of the tray."""
        model = self.model
        found: list[list[Rest]] = []
        if group.ways is None:
            return found
        for filling, fits in zip(group.ways.fillings, group.ways.fits, strict=True):
            row: list[Rest] = []
            for t in fits:
                kind = model.types[t]
                free, room = list(kind.given), model.rooms[kind.berth]
                units = room.limit or 0
                for n, count in zip(group.lots, filling, strict=True):
                    lot = model.lots[n]
                    alike = model.case.likenesses[lot.alike]
                    free[alike.column] -= count * lot.size * alike.slots
                    units -= count * (room.loads[n] or 0)
                row.append((t, kind.berth, tuple(free), units))
            found.append(row)
        return found

    def tables(self, prices: Prices, lots: tuple[int, ...], before: list[BerthTable] | None = None) -> list[BerthTable]:
        """The table of every type for these lots, beside those ``before``; one for all types that price them alike."""
        made: dict[object, BerthTable] = {}
        found: list[BerthTable] = []
        for t, kind in enumerate(self.model.types):
            at = self.table_of[kind.berth]
            tolls = [(n, toll) for (u, n), toll in prices.lot_tolls.items() if u == t]
            key = (at, t) if tolls else at
            table = made.get(key)
            if table is None:
                worth = list(prices.lots)
                for n, toll in tolls:
                    worth[n] -= toll
                table = made[key] = BerthTable(
                    self.model, worth, kind.berth, lots, self.slots[at], None if before is None else before[t]
                )
            found.append(table)
        return found

    def held(self, prices: Prices, floors: list[int] | None = None, slack: int = 0) -> Verdict:
        """Price all fillings; ``floors[g]`` is what the columns so far cost label ``g``, cheaper ones are returned.

        A column is returned where it is better by more than ``slack``.
        """
        model = self.model
        case = model.case
        worth = [
            sum([g * (p + q) for g, p, q in zip(kind.given, prices.slots, prices.later, strict=True)])
            for kind in model.types
        ]
        gives = list(prices.trays)
        columns: list[Column] = []
        tables = self.tables(prices, model.shared)
        self.single(prices, tables, worth, -1, range(len(model.types)), gives, columns, slack)
        amount = sum([model.lots[n].count * prices.lots[n] for n in model.priced])
        for number, group in enumerate(model.groups):
            if group.ways is None:
                amount += prices.labels[number] * trays_at_least(model, group)
                together = self.tables(prices, group.lots, tables)
                self.single(prices, together, worth, number, group.types, gives, columns, slack)
                continue
            below = None if floors is None else floors[number] - slack
            least, column = self.cheapest(prices, tables, worth, number, below)
            amount += least
            if column is not None:
                columns.append(column)
        wanted = case.used
        amount += sum([n * p for n, p in zip(wanted if case.in_stack else case.needed, prices.slots, strict=True)])
        amount += sum([n * q for n, q in zip(case.needed, prices.later, strict=True)])
        saved = [
            prices.lots[n] - prices.lots[one] - prices.lots[other] - prices.cut_tolls.get((n, one, other), 0)
            for n, one, other in model.cuts
        ]
        amount -= prices.allowed * max([prices.cut, *saved])
        return Verdict(amount, gives, columns)

    def single(
        self,
        prices: Prices,
        tables: list[BerthTable],
        worth: list[int],
        group: int,
        types: range | tuple[int, ...],
        gives: list[int],
        columns: list[Column],
        slack: int,
    ) -> None:
        """Single trays: lift what their berths give to what they hold at most, and note the columns."""
        model = self.model
        best: dict[int, tuple[int, int]] = {}
        for t in types:
            kind = model.types[t]
            b = kind.berth
            value = worth[t] + tables[t].value(kind.given, model.rooms[b].limit or 0) - prices.tolls.get((t, group), 0)
            value += prices.labels[group] if group >= 0 else 0
            gives[b] = max(gives[b], value)
            over = value - prices.trays[b]
            if over > slack and over > best.get(b, (0, 0))[0]:
                best[b] = (over, t)
        for b, (_, t) in best.items():
            picked = tables[t].picked(model.types[t].given, model.rooms[b].limit or 0)
            columns.append(Column(group, ((t, tuple(sorted(picked))),)))

    def cheapest(
        self, prices: Prices, tables: list[BerthTable], worth: list[int], number: int, below: int | None
    ) -> tuple[int, Column | None]:
        """The least that a label costs over all its ways, and the column that does it where it is below ``below``."""
        group = self.model.groups[number]
        ways = group.ways
        assert ways is not None
        net = [prices.trays[kind.berth] - w for kind, w in zip(self.model.types, worth, strict=True)]
        if prices.tolls:
            net = [n + prices.tolls.get((t, number), 0) for t, n in enumerate(net)]
        costs: list[tuple[int, Rest]] = []
        for rests in self.rests[number]:
            least, chosen = UNLIMITED * UNLIMITED, rests[0]
            for rest in rests:
                t, _, free, units = rest
                cost = net[t] - tables[t].value(free, units)
                if cost < least:
                    least, chosen = cost, rest
            costs.append((least, chosen))
        values: list[tuple[int, int, int]] = [(0, 0, 0)]
        for moves in ways.moves[1:]:
            values.append(min([(costs[f][0] + values[after][0], f, after) for f, after in moves],
                              default=(UNLIMITED * UNLIMITED, 0, 0)))  # fmt: skip
        total, state, cuts = min([(values[s][0] + len(made) * prices.cut, s, made) for s, made in ways.starts])
        if below is None or total >= below:
            return total, None
        trays: list[TrayUse] = []
        while state:
            _, f, state = values[state]
            t, _, free, units = costs[f][1]
            own = [(n, count) for n, count in zip(group.lots, ways.fillings[f], strict=True) if count]
            trays.append((t, tuple(sorted([*own, *tables[t].picked(free, units)]))))
        return total, Column(number, tuple(sorted(trays)), cuts)
