"""Whether one mix has room for all: branch and price, every branch without room shown so in whole numbers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import gcd

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.drafts import Draft
from service.planning.packing.mixes import Mix
from service.planning.packing.patterns.generating import relaxed
from service.planning.packing.patterns.limits import Limit
from service.planning.packing.patterns.master import Master
from service.planning.packing.patterns.model import Model
from service.planning.packing.patterns.pricing import CUTS, Pricing
from service.planning.packing.patterns.rounding import NEAR, counted, dived, whole_shares

MANY = 1_000_000
"""More than there is of anything that is counted."""

Count = tuple[Limit, float]
"""(a limit, still open, on what is counted; how much there is of it)."""


def divided(model: Model, units: Sequence[int], master: Master, shares: Sequence[float]) -> Count | None:
    """A count that is not whole, the most divided one of the first sort that has one; None where all are whole.

    The sorts: cuts, banks' worth of slots of a column, trays of a type, these for one label, bundles of a lot in these.
    """
    by_type = [0.0] * len(model.types)
    by_group: dict[tuple[int, int], float] = {}
    by_lot: dict[tuple[int, int], float] = {}
    for column, share in zip(master.pool, shares, strict=False):
        if share > NEAR:
            for t, picked in column.trays:
                by_type[t] += share
                by_group[t, column.group] = by_group.get((t, column.group), 0.0) + share
                for n, count in picked:
                    if n in master.rows.lot:
                        by_lot[t, n] = by_lot.get((t, n), 0.0) + share * count
    types = range(len(model.types))
    alone = [tuple([int(t == other) for other in types]) for t in types]
    none = (0,) * len(model.types)
    sorts: list[list[Count]] = [[], [], [], [], []]
    for column, share in zip(master.pool, shares, strict=False):
        if column.group == CUTS:
            sorts[0].append((Limit(none, None, 0, 0, None, column.cuts[0]), share))
    for c, unit in enumerate(units):
        counts = tuple([kind.given[c] // unit for kind in model.types])
        used = sum([n * used for n, used in zip(counts, by_type, strict=True)])
        sorts[1].append((Limit(counts, None, 0, 0), used))
    sorts[2] = [(Limit(alone[t], None, 0, 0), used) for t, used in enumerate(by_type)]
    sorts[3] = [(Limit(alone[t], group, 0, 0), used) for (t, group), used in sorted(by_group.items())]
    sorts[4] = [(Limit(alone[t], None, 0, 0, n), used) for (t, n), used in sorted(by_lot.items())]
    for rows in sorts:
        if rows:
            best = min(rows, key=lambda row: abs(row[1] - int(row[1]) - 0.5))
            if abs(best[1] - int(best[1]) - 0.5) < 0.5 - NEAR:
                return best
    return None


Build = Callable[[Master, Sequence[int], int, Mix], Draft | None]
"""Makes the packing out of how often each column is taken, for a mix of that weight; None where it breaks a rule."""


class Brancher:
    """Looks for room in one mix after another, keeping the columns."""

    def __init__(self, master: Master, pricing: Pricing, budget: Budget, build: Build) -> None:
        self.master = master
        self.pricing = pricing
        self.budget = budget
        self.build = build
        self.branches = 0
        # What a tray gives of a column is a multiple of this: the number of multiples is whole.
        types = pricing.model.types
        self.units = [gcd(*[kind.given[c] for kind in types]) or 1 for c in range(pricing.model.case.columns)]

    def room(self, weight: int, mix: Mix) -> Draft | None:
        """A packing into the mix that the linear programme is aimed at, None where there is none.

        Raises OutOfNodesError where it stays undecided.
        """
        waiting: list[tuple[Limit, ...]] = [()]
        undecided = False
        try:
            while waiting:
                limits = waiting.pop()
                self.master.limit(limits)
                answer = relaxed(self.master, self.pricing, mix, self.budget)
                if answer.need is not None:
                    self.branches += 1
                    continue
                if not answer.roomy:
                    undecided = True
                    continue
                split = divided(self.pricing.model, self.units, self.master, answer.shares)
                draft = self.rounded(weight, mix, answer.shares, thorough=not limits or split is None)
                if draft is not None:
                    return draft
                if split is None:
                    undecided = True
                    continue
                limit, number = split
                waiting.append((*limits, replace(limit, low=0, high=int(number))))
                waiting.append((*limits, replace(limit, low=int(number) + 1, high=MANY)))
        finally:
            self.master.limit(())
        if undecided:
            raise OutOfNodesError
        return None

    def rounded(self, weight: int, mix: Mix, shares: Sequence[float], thorough: bool) -> Draft | None:
        """A packing out of what the linear programme says."""
        for attempt in range(3):
            if attempt == 0:
                counts = whole_shares(shares)
            elif attempt == 1:
                counts = dived(self.master, self.pricing, mix, shares, self.budget)
            else:
                counts = counted(self.master, self.budget) if thorough else None
            draft = None if counts is None else self.build(self.master, counts, weight, mix)
            if draft is not None:
                return draft
        return None
