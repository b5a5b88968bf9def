"""What the catalogue says of an item that is bought: its title, how it is packed, and what a pack costs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from service.domain.catalogue import Closure, MaterialRule, Sleeve, Tray

PIECE = "piece"
"""The unit of closures, trays and sleeves."""


@dataclass(frozen=True, slots=True)
class Goods:
    """An item as it is bought; ``price`` is of one pack of ``pack_of``."""

    title: str
    unit: str = PIECE
    pack_of: int = 1
    price: Decimal | None = None
    currency: str | None = None
    retired: bool = False


def goods_of(entry: Closure | Tray | Sleeve | MaterialRule, retired: bool = False) -> Goods:
    """The goods that a catalogue entry stands for; closures and trays come one at a time."""
    pack_of = entry.pack_of if isinstance(entry, Sleeve | MaterialRule) else None
    unit = entry.unit if isinstance(entry, MaterialRule) else PIECE
    currency = None if entry.price is None else entry.currency
    return Goods(entry.title, unit, pack_of or 1, entry.price, currency, retired)
