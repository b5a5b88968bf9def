"""What lies in the store of an item, as a JSON-able document."""

from __future__ import annotations

from typing import Any

from service.documents.numbers import count
from service.domain.order import StockLevel


def level_to(level: StockLevel) -> dict[str, Any]:
    """Write a level; quantities are in the unit of the item's catalogue entry."""
    return {
        "kind": level.item.kind,
        "item": level.item.code,
        "on_hand": count(level.on_hand),
        "held": count(level.held),
        "available": count(level.available),
        "revision": level.revision,
    }
