"""The lines of an order as JSON-able documents, and back."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.documents.asks import exact
from service.documents.numbers import amount, count
from service.documents.rework import rework_from, rework_to
from service.domain.catalogue import CURRENCY
from service.domain.order import OrderLine, PooledSpares, ReworkGroup, Share

Document = dict[str, Any]
_QUANTITIES = ("quantity", "included", "from_stock", "to_buy", "surplus")


def line_to(line: OrderLine) -> Document:
    """Write a line; ``price`` is of all its packs, ``pack_price`` of one."""
    document: Document = {
        "kind": line.kind,
        "item": line.item,
        "title": line.title,
        "unit": line.unit,
        "quantity": count(line.quantity),
        "included": count(line.included),
        "from_stock": count(line.from_stock),
        "to_buy": count(line.to_buy),
        "pack_of": line.pack_of,
        "packs": line.packs,
        "surplus": count(line.surplus),
    }
    if line.pack_price is not None and line.price is not None:
        document["pack_price"] = amount(line.pack_price)
        document["price"] = amount(line.price)
        document["currency"] = line.currency or CURRENCY
    if line.retired:
        document["retired"] = True
    if line.received is not None:
        document["received"] = line.received
    if line.spares is not None:
        document["spares"] = _spares_to(line.spares)
    document["shares"] = [share_to(share) for share in line.shares]
    return document


def line_from(document: Mapping[str, Any]) -> OrderLine:
    """Read what ``line_to`` wrote."""
    quantities = {name: exact(document[name]) for name in _QUANTITIES}
    priced = "price" in document
    return OrderLine(
        kind=document["kind"],
        item=document["item"],
        title=document["title"],
        unit=document["unit"],
        pack_of=document["pack_of"],
        packs=document["packs"],
        pack_price=Decimal(document["pack_price"]) if priced else None,
        price=Decimal(document["price"]) if priced else None,
        currency=document.get("currency"),
        retired=document.get("retired", False),
        spares=_spares_from(document["spares"]) if "spares" in document else None,
        shares=tuple(_share_from(share) for share in document["shares"]),
        received=document.get("received"),
        **quantities,
    )


def share_to(share: Share) -> Document:
    """Write what a source asks of an item, the source under its kind: ``{"plan": id, ...}``."""
    return {share.kind: share.id, "quantity": count(share.quantity), "included": count(share.included)}


def _share_from(document: Mapping[str, Any]) -> Share:
    quantity, included = exact(document["quantity"]), exact(document["included"])
    if "plan" in document:
        return Share("plan", document["plan"], quantity, included)
    return Share("takeoff", document["takeoff"], quantity, included)


def _spares_to(spares: PooledSpares) -> Document:
    return {
        "splices": spares.splices,
        "pooled": spares.pooled,
        "separate": spares.separate,
        "confidence": spares.confidence,
        "rework": [rework_to(*group) for group in spares.groups],
    }


def _spares_from(document: Mapping[str, Any]) -> PooledSpares:
    return PooledSpares(
        splices=document["splices"],
        pooled=document["pooled"],
        separate=document["separate"],
        confidence=document["confidence"],
        groups=tuple(ReworkGroup(*rework_from(group)) for group in document["rework"]),
    )
