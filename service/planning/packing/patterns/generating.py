"""Columns added to the linear programme until none is missing, or until prices prove what is asked."""

from __future__ import annotations

from dataclasses import dataclass

from service.planning.packing.budget import Budget
from service.planning.packing.mixes import Mix
from service.planning.packing.needs import Need
from service.planning.packing.patterns.bounds import has_no_room, need_of
from service.planning.packing.patterns.master import Master
from service.planning.packing.patterns.pricing import Pricing

SLACK = 100
"""A column that is better by less, in parts of a unit, is not added: rounding alone can make so much."""

NOUGHT = 1e-7
"""What counts as nothing in the solver's floating-point values; never relied on for a proof."""


@dataclass(frozen=True, slots=True)
class Relaxed:
    """``value`` by the solver, the ``shares`` of the pool's columns; ``need``: shown in whole numbers (None: none).

    Where the solver gave no answer the value is 1.
    """

    value: float
    shares: list[float]
    need: Need | None

    @property
    def roomy(self) -> bool:
        """Whether all is covered, so far as the solver can tell."""
        return self.need is None and self.value < NOUGHT


def relaxed(master: Master, pricing: Pricing, mix: Mix | None, budget: Budget, name: str = "") -> Relaxed:
    """Solve the linear programme as it is aimed, adding columns.

    For a mix it ends as soon as all is covered, or where a need rules the mix out, which is then given. Else the need
    is that of the last prices. Raises OutOfNodesError where the node limit ends it.
    """
    while True:
        budget.spend(pricing.toll + master.toll)
        answer = master.solved()
        if answer is None:
            return Relaxed(1.0, [], None)
        value, shares, prices, floors = answer
        if mix is not None and value < NOUGHT:
            return Relaxed(value, shares, None)
        verdict = pricing.held(prices, floors, SLACK)
        need = need_of(pricing.model, prices, verdict, name)
        if mix is not None and has_no_room(need, mix):
            return Relaxed(value, shares, need)
        new = [column for column in verdict.columns if master.add(column)]
        if not new:
            return Relaxed(value, shares, need if mix is None else None)
