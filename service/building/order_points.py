"""What each splice point of an order needs, as rows of a sheet."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import NamedTuple

import orjson

from service.documents.asks import asks_from, prices_from
from service.domain.order import Item, Order, OrderSource
from service.domain.takeoff import PointResult
from service.sheets.rows import PointRow
from service.store import NotFound, PointFilter, Store

_AT_ONCE = 200
_KEPT = 4000
"""So many demands are kept in memory, since splice points that ask for the same come again and again."""


class _Needed(NamedTuple):
    quantities: dict[Item, Decimal]
    prices: dict[str, Decimal]


def order_points(store: Store, order: Order) -> Iterator[PointRow] | None:
    """The splice points that an order is made from, takeoff by takeoff, read while they are gone through.

    Places are those of the takeoff; in an order of several sources the source's number stands before them. None where
    there is nothing to add to the order's own shares: it is from plans alone, or one of its sources is not there any
    more. Prices are those of the plans, each one's packs by themselves, in the order's currencies.
    """
    if all(source.kind == "plan" for source in order.sources):
        return None
    try:
        for source in order.sources:
            store.plan(source.id) if source.kind == "plan" else store.takeoffs.get(source.id)
    except NotFound:
        return None
    return _rows(store, order)


def _rows(store: Store, order: Order) -> Iterator[PointRow]:
    currencies = {line.currency for line in order.lines}
    for number, source in enumerate(order.sources, 1):
        for its_place, name, closure, needed in _points(store, source):
            place = its_place if len(order.sources) == 1 else f"{number}/{its_place}"
            prices = {currency: price for currency, price in needed.prices.items() if currency in currencies}
            yield PointRow(place, name, closure, needed.quantities, prices)


def _points(store: Store, source: OrderSource) -> Iterator[tuple[int, str, str | None, _Needed]]:
    if source.kind == "plan":
        plan = store.plan(source.id)
        yield 1, plan.name, plan.closure, _needed(plan.answer)
        return
    read = _remembering()
    after = 0
    while found := store.takeoffs.points(source.id, after, _AT_ONCE, PointFilter(fits=True), answers=True):
        for result in found:
            yield result.point.place, result.point.name, result.closure, read(result)
        after = found[-1].point.place


def _remembering() -> Callable[[PointResult], _Needed]:
    kept: OrderedDict[int | None, _Needed] = OrderedDict()

    def read(result: PointResult) -> _Needed:
        demand = result.point.demand
        if demand in kept:
            kept.move_to_end(demand)
        else:
            kept[demand] = _needed(result.answer or b"")
            if len(kept) > _KEPT:
                kept.popitem(last=False)
        return kept[demand]

    return read


def _needed(answer: bytes) -> _Needed:
    document = orjson.loads(answer)
    return _Needed({ask.item: ask.quantity for ask in asks_from(document).items}, prices_from(document))
