"""What a takeoff asks for in all, as a JSON-able document that is kept with its totals, and back."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.documents.rework import rework_from, rework_to
from service.domain.order import Item
from service.domain.rework import Rework, rework_rank
from service.planning.orders.summing import ItemSum, SleeveSum, SourceSum

Document = dict[str, Any]


def sum_to(summed: SourceSum) -> Document:
    """Write the sums; quantities are text, since they are exact."""
    return {
        "items": [
            [item.kind, item.code, total.unit, str(total.quantity), str(total.included)]
            for item, total in sorted(summed.items.items())
        ],
        "sleeves": [
            [
                code,
                total.separate,
                total.lowest,
                total.highest,
                [rework_to(total.groups[rework], rework) for rework in sorted(total.groups, key=rework_rank)],
            ]
            for code, total in sorted(summed.sleeves.items())
        ],
    }


def sum_from(document: Mapping[str, Any], pointer: str) -> SourceSum:
    """Read what ``sum_to`` wrote, as the source at a place of a request."""
    summed = SourceSum(pointer)
    for kind, code, unit, quantity, included in document["items"]:
        summed.items[Item(kind, code)] = ItemSum(unit, Decimal(quantity), Decimal(included))
    for code, separate, lowest, highest, groups in document["sleeves"]:
        counts = Counter(dict(map(_group, groups)))
        summed.sleeves[code] = SleeveSum(counts, separate, lowest, highest)
    return summed


def _group(document: Any) -> tuple[Rework, int]:
    """A rate and its splices; takeoffs that were added up before rates could be learned have them as a pair."""
    if isinstance(document, list):
        return float(document[0]), document[1]
    splices, rework = rework_from(document)
    return rework, splices
