"""What a takeoff comes to: the plans of its splice points added up, exactly.

A total is a sum over splice points of what their plans say, nothing rounded again: quantities and money are
``Decimal``, and totals of parts add up to the total of the whole. A demand counts once for each splice point that asks
for it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, NamedTuple

from service.documents.rework import rework_from
from service.domain.rework import Rework


class Item(NamedTuple):
    """What makes two material lines the same item. ``currency`` is None where it has no price."""

    kind: str
    material: str
    title: str
    unit: str
    currency: str | None


@dataclass(slots=True)
class ItemSum:
    """An item over all splice points: ``packs`` and ``price`` as if each point's packs were bought for itself."""

    points: int = 0
    quantity: Decimal = Decimal(0)
    included: Decimal = Decimal(0)
    packs: int = 0
    price: Decimal = Decimal(0)


@dataclass(slots=True)
class SleeveSum:
    """A kind of sleeve over all splice points. ``separate``: each point with spares of its own.

    ``groups`` counts splices by their rework rate, ``confidence`` is the highest asked at any point: what spares that
    are pooled over the whole takeoff are worked out from.
    """

    splices: int = 0
    separate: int = 0
    confidence: float = 0.0
    groups: Counter[Rework] = field(default_factory=Counter)


@dataclass(slots=True)
class Totals:
    """The sums. ``fitting`` points alone have closures, trays, sleeves, materials and hours.

    ``proven`` counts the fitting points whose plan is proven best; ``hours_points`` those with a crew.
    """

    fitting: int = 0
    unfitting: int = 0
    proven: int = 0
    splices: int = 0
    closures: Counter[str] = field(default_factory=Counter)
    trays: Counter[str] = field(default_factory=Counter)
    new_trays: Counter[str] = field(default_factory=Counter)
    sleeves: dict[str, SleeveSum] = field(default_factory=dict)
    items: dict[Item, ItemSum] = field(default_factory=dict)
    hours_points: int = 0
    hours_median: Decimal = Decimal(0)
    hours_90: Decimal = Decimal(0)

    def add(self, plan: Mapping[str, Any], points: int = 1) -> None:
        """Add a plan, as a document, for so many splice points that have it."""
        if not plan["fits"]:
            self.unfitting += points
            return
        self.fitting += points
        self.proven += points if plan["proof"]["optimal"] else 0
        self.splices += points * plan["splices"]
        self.closures[plan["closure"]["code"]] += points
        for tray in plan["trays"]:
            self.trays[tray["tray"]] += points
            self.new_trays[tray["tray"]] += points if tray["new"] else 0
        self._add_sleeves(plan, points)
        for line in plan["materials"]:
            self._add_line(line, points)
        crew = plan.get("crew")
        if crew is not None:
            self.hours_points += points
            self.hours_median += points * exact(crew["hours_median"])
            self.hours_90 += points * exact(crew["hours_90"])

    def _add_sleeves(self, plan: Mapping[str, Any], points: int) -> None:
        for told in plan["sleeves"]:
            total = self.sleeves.setdefault(told["sleeve"], SleeveSum())
            total.splices += points * told["splices"]
            total.separate += points * told["quantity"]
            total.confidence = max(total.confidence, told["confidence"])
        for facts in plan["certificate"]["sleeves"]:
            groups = self.sleeves[facts["sleeve"]].groups
            for group in facts["rework"]:
                splices, rework = rework_from(group)
                groups[rework] += points * splices

    def _add_line(self, line: Mapping[str, Any], points: int) -> None:
        item = Item(line["kind"], line["material"], line["title"], line["unit"], line.get("currency"))
        total = self.items.setdefault(item, ItemSum())
        total.points += points
        total.quantity += points * exact(line["quantity"])
        total.included += points * exact(line["included"])
        total.packs += points * line["packs"]
        if item.currency is not None:
            total.price += points * Decimal(line["price"])


def exact(number: float) -> Decimal:
    """A number of a plan's document, written with a few decimals, as it is written."""
    return Decimal(repr(number))
