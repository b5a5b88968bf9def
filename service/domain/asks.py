"""What one plan asks to be brought, as an order reads it: items by quantity, and splices by sleeve and rework rate."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from service.domain.order import Item, ReworkGroup


class ItemAsk(NamedTuple):
    """So much of an item, in ``unit``, of which ``included`` comes in the closure's box. Spares are in it."""

    item: Item
    unit: str
    quantity: Decimal
    included: Decimal


class SleeveAsk(NamedTuple):
    """The splices of one sleeve by rework rate, and the spares that the plan carries at its own confidence."""

    sleeve: str
    spares: int
    confidence: float
    groups: tuple[ReworkGroup, ...]


@dataclass(frozen=True, slots=True)
class PlanAsks:
    """All that a plan asks for; a plan that does not fit asks for nothing."""

    fits: bool
    items: tuple[ItemAsk, ...] = ()
    sleeves: tuple[SleeveAsk, ...] = ()
