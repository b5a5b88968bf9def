"""What a takeoff needs as the rows of sheets: by item from its totals, by splice point from the plans."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from typing import Any

import orjson

from service.building.totals import exact
from service.domain.order import Item
from service.domain.takeoff import PointResult
from service.sheets.rows import ItemRow, PointRow
from service.store import PointFilter, TakeoffStore

Needs = tuple[Mapping[Item, Decimal], Mapping[str, Decimal]]
_AT_ONCE = 100
_REMEMBERED = 2000
"""What so many demands need is kept at hand, since equal splice points often stand close together."""


def item_rows(materials: Iterable[Mapping[str, Any]]) -> list[ItemRow]:
    """The items of a takeoff's totals, in their order."""
    return [
        ItemRow(
            kind=line["kind"],
            code=line["material"],
            title=line["title"],
            unit=line["unit"],
            points=line["points"],
            quantity=exact(line["quantity"]),
            included=exact(line["included"]),
            packs=line["packs"],
            price=Decimal(line["price"]) if "price" in line else None,
            currency=line.get("currency"),
        )
        for line in materials
    ]


def point_rows(takeoffs: TakeoffStore, takeoff_id: str) -> Iterator[PointRow]:
    """What each splice point that fits needs, in the order of their places."""
    known: OrderedDict[int, Needs] = OrderedDict()
    after = 0
    while found := takeoffs.points(takeoff_id, after, _AT_ONCE, PointFilter(fits=True), answers=True):
        for result in found:
            quantities, prices = _needs(result, known)
            point = result.point
            yield PointRow(point.place, point.name, result.closure, quantities, prices)
        after = found[-1].point.place


def _needs(result: PointResult, known: OrderedDict[int, Needs]) -> Needs:
    demand = result.point.demand or 0
    if demand in known:
        known.move_to_end(demand)
        return known[demand]
    quantities: dict[Item, Decimal] = {}
    prices: dict[str, Decimal] = {}
    for line in orjson.loads(result.answer or b"{}").get("materials", ()):
        item = Item(line["kind"], line["material"])
        quantities[item] = quantities.get(item, Decimal(0)) + exact(line["quantity"])
        if "price" in line:
            prices[line["currency"]] = prices.get(line["currency"], Decimal(0)) + Decimal(line["price"])
    known[demand] = quantities, prices
    if len(known) > _REMEMBERED:
        known.popitem(last=False)
    return quantities, prices
