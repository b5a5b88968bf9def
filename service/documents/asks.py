"""A plan's document read for what it asks to be brought."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.documents.rework import rework_from
from service.domain.asks import ItemAsk, PlanAsks, SleeveAsk
from service.domain.order import Item, ReworkGroup


def asks_from(document: Mapping[str, Any]) -> PlanAsks:
    """Read a plan's document, as ``plan_to`` wrote it.

    The rates behind the spares are those of the plan's certificate, where nothing is rounded.
    """
    if not document["fits"]:
        return PlanAsks(False)
    items = tuple(
        ItemAsk(Item(line["kind"], line["material"]), line["unit"], exact(line["quantity"]), exact(line["included"]))
        for line in document["materials"]
    )
    groups = {
        facts["sleeve"]: tuple(ReworkGroup(*rework_from(group)) for group in facts["rework"])
        for facts in document["certificate"]["sleeves"]
    }
    sleeves = tuple(
        SleeveAsk(told["sleeve"], told["spares"], float(told["confidence"]), groups[told["sleeve"]])
        for told in document["sleeves"]
    )
    return PlanAsks(True, items, sleeves)


def exact(number: float) -> Decimal:
    """A number of a document as the decimal that is written there."""
    return Decimal(repr(number))


def prices_from(document: Mapping[str, Any]) -> dict[str, Decimal]:
    """What the packs of a plan come to by themselves, by currency."""
    prices: dict[str, Decimal] = {}
    for line in document["materials"]:
        if "price" in line:
            prices[line["currency"]] = prices.get(line["currency"], Decimal(0)) + Decimal(line["price"])
    return prices
