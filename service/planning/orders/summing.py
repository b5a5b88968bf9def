"""What one source of an order asks for, added up over its splice points."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from decimal import Decimal

from service.domain.asks import PlanAsks
from service.domain.faults import Fault, Refused
from service.domain.order import Item
from service.domain.rework import Rework

_NONE = Decimal(0)


@dataclass(slots=True)
class ItemSum:
    """So much of an item in all, and what of it comes in boxes."""

    unit: str
    quantity: Decimal = _NONE
    included: Decimal = _NONE


@dataclass(slots=True)
class SleeveSum:
    """The splices of a sleeve by rework rate, and the sum of the spares that the plans carry each on its own.

    ``lowest`` and ``highest`` are the confidences that the plans asked for.
    """

    groups: Counter[Rework] = field(default_factory=Counter)
    separate: int = 0
    lowest: float = 1.0
    highest: float = 0.0


@dataclass(slots=True)
class SourceSum:
    """The sums of one source; ``pointer`` is the source's place in the request for the order."""

    pointer: str = ""
    items: dict[Item, ItemSum] = field(default_factory=dict)
    sleeves: dict[str, SleeveSum] = field(default_factory=dict)

    def add(self, asks: PlanAsks, points: int = 1) -> None:
        """Add what a plan asks for, for so many splice points that have this plan.

        Raises ``Refused`` where an item is counted in another unit than before.
        """
        for ask in asks.items:
            total = self.items.setdefault(ask.item, ItemSum(ask.unit))
            if total.unit != ask.unit:
                raise Refused([unit_fault(self.pointer, ask.item, ask.unit, total.unit)])
            total.quantity += points * ask.quantity
            total.included += points * ask.included
        for sleeve in asks.sleeves:
            spared = self.sleeves.setdefault(sleeve.sleeve, SleeveSum())
            for splices, rework in sleeve.groups:
                spared.groups[rework] += points * splices
            spared.separate += points * sleeve.spares
            spared.lowest = min(spared.lowest, sleeve.confidence)
            spared.highest = max(spared.highest, sleeve.confidence)


def unit_fault(pointer: str, item: Item, unit: str, other: str) -> Fault:
    """The fault of a source that counts an item in another unit."""
    detail = f"{item.code} is planned in {unit} here and counted in {other} elsewhere: plan it again."
    return Fault(pointer, "unit", detail)
