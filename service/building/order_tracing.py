"""Where the quantity of an order's item comes from: plan by plan, and for takeoffs splice point by splice point."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import orjson

from service.documents.asks import asks_from
from service.domain.asks import ItemAsk
from service.domain.order import Item, Order, OrderLine, OrderSource, Share
from service.store import NotFound, PointFilter, Store

_LOOKED_MOST = 500
"""So many splice points are looked at for a page that asks for fewer traces than that."""

_AT_ONCE = 100


class Trace(NamedTuple):
    """What one plan, or the splice point at a ``place`` of a takeoff, asks of an item.

    ``place`` is None for a plan, and for a takeoff that is not there any more: then the share is that of all of it.
    """

    item: Item
    share: Share
    name: str
    place: int | None = None


class Position(NamedTuple):
    """How far an order's sources were gone through: ``source`` counts them from 0, ``place`` is within a takeoff."""

    source: int = 0
    place: int = 0


def traced(store: Store, order: Order, code: str, start: Position, limit: int) -> tuple[list[Trace], Position | None]:
    """Up to ``limit`` traces of an item from a position on, and the position to go on from, None at the end.

    No more splice points are looked at than a page may take, so there can be fewer traces, none of them included.
    """
    lines = [line for line in order.lines if line.item == code]
    traces: list[Trace] = []
    looked = 0
    for index in range(start.source, len(order.sources)):
        source = order.sources[index]
        after = start.place if index == start.source else 0
        for place, found in _traces(store, source, lines, after):
            traces += found
            looked += 1
            if len(traces) >= limit or looked >= max(limit, _LOOKED_MOST):
                return traces, _behind(order, index, place)
    return traces, None


def _behind(order: Order, index: int, place: int | None) -> Position | None:
    if place is not None:
        return Position(index, place)
    return Position(index + 1) if index + 1 < len(order.sources) else None


def _traces(
    store: Store, source: OrderSource, lines: list[OrderLine], after: int
) -> Iterator[tuple[int | None, list[Trace]]]:
    """The traces of a plan, or those of each splice point of a takeoff behind a place, with its place."""
    whole = list(_whole(lines, source))
    if source.kind == "plan" or not whole:
        yield None, whole
        return
    try:
        store.takeoffs.get(source.id)
    except NotFound:
        yield None, whole
        return
    yield from _of_takeoff(store, source, lines, after)


def _whole(lines: list[OrderLine], source: OrderSource) -> Iterator[Trace]:
    for line in lines:
        for share in line.shares:
            if (share.kind, share.id) == (source.kind, source.id):
                yield Trace(Item(line.kind, line.item), share, source.name)


def _of_takeoff(
    store: Store, source: OrderSource, lines: list[OrderLine], after: int
) -> Iterator[tuple[int, list[Trace]]]:
    items = {Item(line.kind, line.item) for line in lines}
    asked: dict[int | None, list[ItemAsk]] = {}
    while points := store.takeoffs.points(source.id, after, _AT_ONCE, PointFilter(fits=True), answers=True):
        for result in points:
            point = result.point
            if point.demand not in asked:
                asks = asks_from(orjson.loads(result.answer or b'{"fits":false}'))
                asked[point.demand] = [ask for ask in asks.items if ask.item in items]
            yield (
                point.place,
                [
                    Trace(ask.item, Share("takeoff", source.id, ask.quantity, ask.included), point.name, point.place)
                    for ask in asked[point.demand]
                ],
            )
        after = points[-1].point.place
