"""The linear programme over the columns found so far."""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.mixes import Mix
from service.planning.packing.patterns.limits import Limit
from service.planning.packing.patterns.model import Model
from service.planning.packing.patterns.prices import Prices, whole
from service.planning.packing.patterns.pricing import CUTS, Column
from service.planning.packing.patterns.rows import LARGEST, Entries, Rows
from service.planning.quiet_solver import quiet_solver

CELLS_A_NODE = 2_000
"""How many rows times columns of the programme count as a node each time that it is solved."""

DEAR = 1e4
"""What an uncovered slot costs where weight is to be least, against the dearest tray."""

DEAREST = 1000.0
"""Costs are brought down to this, so that whole-number prices stay small."""


class Master:
    """The linear programme; columns are added, limits come and go. Raises ImportError where there is no solver."""

    def __init__(self, model: Model) -> None:
        self.model = model
        case = model.case
        self.rows = Rows(model)
        self.solver = quiet_solver()
        self.solver.setOptionValue("presolve", "off")
        for low, high in self.rows.bounds:
            self.solver.addRow(low, high, 0, [], [])
        self.limits: list[Limit] = []
        self.pool: list[Column] = []
        self.known: set[Column] = set()
        self.used = 0
        self.costs = [(berth.weight - berth.pitch) // case.height_unit for berth in case.berths]
        self.trays = [
            self.variable(0.0, float(len(berth.hanging) or berth.most), self.rows.of_trays(b, self.costs[b]))
            for b, berth in enumerate(case.berths)
        ]
        if model.later:
            for t, kind in enumerate(model.types):
                if kind.berth >= case.bought_from:
                    self.variable(0.0, LARGEST, self.rows.of_later(t))
        # What stands in where a row is not met, and what that costs. The last one is for limits.
        self.missing: list[int] = []
        self.tolls: list[float] = []
        sizes = [float(max(1, lot.size)) for lot in model.lots]
        for n, row in self.rows.lot.items():
            self.stand_in([(row, 1.0)], sizes[n])
        for g, row in self.rows.label.items():
            self.stand_in([(row, 1.0)], sum([sizes[n] * model.lots[n].count for n in model.groups[g].lots]))
        for row in (*self.rows.slot, *self.rows.later, *self.rows.trays_for.values()):
            self.stand_in([(row, 1.0)], 1.0)
        if model.later:
            self.stand_in([(self.rows.spare, 1.0)], float(max(case.needed) + 1))
        self.stand_in([], 1.0)
        self.column_from = self.used
        self.allowed = 0
        for cut in model.cuts:
            self.add(Column(CUTS, (), (cut,)))

    def variable(self, cost: float, most: float, entries: Entries) -> int:
        """Add a variable with so much in each row; gives its number."""
        self.solver.addCol(cost, 0.0, most, len(entries), [row for row, _ in entries], [value for _, value in entries])
        self.used += 1
        return self.used - 1

    def stand_in(self, entries: Entries, toll: float) -> None:
        """A variable that stands in for what is missing."""
        self.missing.append(self.variable(toll, LARGEST, entries))
        self.tolls.append(toll)

    def add(self, column: Column) -> bool:
        """Add a column; whether it was new."""
        if column in self.known:
            return False
        self.known.add(column)
        self.pool.append(column)
        entries = self.rows.of_column(column)
        for place, limit in enumerate(self.limits):
            times = limit.of(column)
            if times:
                entries.append((len(self.rows.bounds) + place, float(times)))
        self.variable(0.0, LARGEST, entries)
        return True

    def limit(self, limits: Sequence[Limit]) -> None:
        """Replace the limits of the branch."""
        first = len(self.rows.bounds)
        if self.limits:
            self.solver.deleteRows(len(self.limits), list(range(first, first + len(self.limits))))
        self.limits = list(limits)
        for limit in self.limits:
            counted = [(self.column_from + place, limit.of(column)) for place, column in enumerate(self.pool)]
            if limit.low:
                counted.append((self.missing[-1], 1))
            numbers = [number for number, times in counted if times]
            values = [float(times) for _, times in counted if times]
            self.solver.addRow(float(limit.low), float(limit.high), len(numbers), numbers, values)

    def aim(self, costs: Sequence[int], most: int | None, mix: Mix | None, cuts: int = 0) -> None:
        """Ask for the least of ``costs`` of trays (with a cost of ``most`` at most), or for room in a mix.

        ``cuts`` are allowed.
        """
        self.allowed = cuts
        self.solver.changeRowBounds(self.rows.cuts, -LARGEST, float(cuts))
        dearest = float(max([1, *costs]))
        scale = min(1.0, DEAREST / dearest)
        for b, berth in enumerate(self.model.case.berths):
            bought = b - self.rows.first
            low, high = 0.0, float(len(berth.hanging) or berth.most)
            if mix is not None and bought >= 0:
                low = high = float(mix[bought])
            self.solver.changeColBounds(self.trays[b], low, high)
            self.solver.changeColCost(self.trays[b], costs[b] * scale if mix is None else 0.0)
        for number, toll in zip(self.missing, self.tolls, strict=True):
            self.solver.changeColCost(number, toll if mix is not None else toll * DEAR * dearest * scale)
        self.solver.changeRowBounds(self.rows.cost, -LARGEST, LARGEST if most is None else float(most))

    @property
    def toll(self) -> int:
        """How many nodes it counts to solve the programme once; of a small one, hardly any."""
        return int(self.solver.getNumRow()) * self.used // CELLS_A_NODE

    def solved(self) -> tuple[float, list[float], Prices, list[int]] | None:
        """(value, the columns' shares, prices, floors of the labels); None where the solver gives no answer."""
        self.solver.run()
        if self.solver.getModelStatus().name != "kOptimal":
            return None
        answer = self.solver.getSolution()
        dual, shares = list(answer.row_dual), list(answer.col_value)
        label = self.rows.label
        floors = [whole(dual[label[g]]) if g in label else 0 for g in range(len(self.model.groups))]
        value = float(self.solver.getInfo().objective_function_value)
        prices = self.rows.prices(dual, self.limits)
        prices.allowed = self.allowed
        return value, shares[self.column_from :], prices, floors
