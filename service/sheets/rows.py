"""Rows of the sheets of a build: what is needed by item, and by splice point."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import NamedTuple

from service.domain.order import Item, ItemKind


class ItemRow(NamedTuple):
    """An item over a whole build: at how many ``points`` it is needed, how many, and what of it comes in boxes.

    ``packs`` and ``price`` are for the rest; ``price`` and ``currency`` are None where the catalogue has none.
    """

    kind: ItemKind
    code: str
    title: str
    unit: str
    points: int
    quantity: Decimal
    included: Decimal
    packs: int
    price: Decimal | None = None
    currency: str | None = None

    @property
    def item(self) -> Item:
        """What the row is of."""
        return Item(self.kind, self.code)


@dataclass(frozen=True, slots=True)
class PointRow:
    """A splice point, or a source of an order: its place in the build, its name, its closure, and what it needs.

    ``place`` is a text where several builds are in one sheet. ``prices`` are of the packs bought for it alone, by
    currency.
    """

    place: int | str
    name: str
    closure: str | None = None
    quantities: Mapping[Item, Decimal] = field(default_factory=dict)
    prices: Mapping[str, Decimal] = field(default_factory=dict)
