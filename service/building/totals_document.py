"""The totals of a takeoff as a JSON-able document, with the spares pooled."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from service.building.totals import Item, ItemSum, SleeveSum, Totals
from service.documents.numbers import amount, count, rounded
from service.planning.spares import sleeves_needed

Document = dict[str, Any]
_KINDS = ("closure", "tray", "sleeve", "material")


def totals_to(totals: Totals) -> Document:
    """Write the totals: counts, closures and trays by code, sleeves, prices by currency, hours."""
    document: Document = {
        "fitting": totals.fitting,
        "not_fitting": totals.unfitting,
        "proven": totals.proven,
        "splices": totals.splices,
        "closures": [{"closure": code, "points": number} for code, number in sorted(totals.closures.items())],
        "trays": [
            {"tray": code, "quantity": number, "new": totals.new_trays[code]}
            for code, number in sorted(totals.trays.items())
        ],
        "sleeves": [_sleeve_to(code, total) for code, total in sorted(totals.sleeves.items())],
        "prices": [{"price": amount(price), "currency": currency} for currency, price in prices(totals)],
    }
    if totals.hours_points:
        document["crew"] = {
            "points": totals.hours_points,
            "hours_median": rounded(float(totals.hours_median), 2),
            "hours_90": rounded(float(totals.hours_90), 2),
        }
    return document


def materials_to(totals: Totals) -> list[Document]:
    """Write the items, closures first, then trays, sleeves and materials, each by code."""
    return [_item_to(item, total) for item, total in in_order(totals)]


def in_order(totals: Totals) -> list[tuple[Item, ItemSum]]:
    """The items in the order in which they are told."""
    return sorted(totals.items.items(), key=lambda pair: (_KINDS.index(pair[0].kind), pair[0][1:4], pair[0][4] or ""))


def prices(totals: Totals) -> list[tuple[str, Decimal]]:
    """What all packs come to, by currency, each splice point's packs bought for itself."""
    by_currency: dict[str, Decimal] = {}
    for item, total in totals.items.items():
        if item.currency is not None:
            by_currency[item.currency] = by_currency.get(item.currency, Decimal(0)) + total.price
    return sorted(by_currency.items())


def pooled(total: SleeveSum) -> int:
    """Sleeves for all splices of the takeoff with one stock of spares, at the highest confidence asked."""
    return sleeves_needed([(splices, rework) for rework, splices in total.groups.items()], total.confidence)


def _sleeve_to(code: str, total: SleeveSum) -> Document:
    together = pooled(total)
    return {
        "sleeve": code,
        "splices": total.splices,
        "spares_separate": total.separate - total.splices,
        "quantity_separate": total.separate,
        "spares_pooled": together - total.splices,
        "quantity_pooled": together,
        "confidence": rounded(total.confidence, 6),
    }


def _item_to(item: Item, total: ItemSum) -> Document:
    document: Document = {
        "kind": item.kind,
        "material": item.material,
        "title": item.title,
        "points": total.points,
        "quantity": count(total.quantity),
        "included": count(total.included),
        "unit": item.unit,
        "packs": total.packs,
    }
    if item.currency is not None:
        document["price"] = amount(total.price)
        document["currency"] = item.currency
    return document
