"""Orders about to be made, put together by hand: what they need is said outright."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from service.domain.asks import ItemAsk, PlanAsks, SleeveAsk
from service.domain.order import Item, OrderSource, ReworkGroup
from service.planning.orders.goods import Goods
from service.planning.orders.making import Draft, Heading
from service.planning.orders.needs import needs_of
from service.planning.orders.summing import SourceSum

START = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)
SEAL, TIE, TRAY = Item("material", "seal"), Item("material", "tie"), Item("tray", "r6")
GOODS = {
    SEAL: Goods("Seal", "piece", 1, Decimal("4.60"), "EUR"),
    TIE: Goods("Tie", "piece", 100, Decimal("12.90"), "EUR"),
    TRAY: Goods("Tray", "piece", 1, Decimal("24.80"), "SEK"),
}
_numbers = itertools.count(1)


def an_id() -> str:
    """An id that no other call gives."""
    return f"{next(_numbers):032x}"


def ask(item: Item, quantity: float | str, included: float | str = 0, unit: str = "piece") -> ItemAsk:
    """So much of an item."""
    return ItemAsk(item, unit, Decimal(str(quantity)), Decimal(str(included)))


def sleeves(code: str, groups: Sequence[tuple[int, float]], spares: int = 0, confidence: float = 0.95) -> SleeveAsk:
    """Splices of a sleeve by rework rate."""
    return SleeveAsk(code, spares, confidence, tuple(ReworkGroup(*group) for group in groups))


def source(*asks: ItemAsk | SleeveAsk, points: int = 1, plan: str | None = None) -> tuple[OrderSource, SourceSum]:
    """A plan, or with more points a takeoff, that asks for this at each of its points."""
    summed = SourceSum("/plans/0")
    items = tuple(each for each in asks if isinstance(each, ItemAsk))
    summed.add(PlanAsks(True, items, tuple(each for each in asks if isinstance(each, SleeveAsk))), points)
    id = plan or an_id()
    told = OrderSource("plan", id, f"Point {id[-4:]}") if points == 1 else OrderSource("takeoff", id, "Build", points)
    return told, summed


def draft(
    *asks: ItemAsk, plan: str | None = None, points: int = 1, goods: Mapping[Item, Goods] = GOODS, **heading: Any
) -> Draft:
    """An order of one plan, or takeoff, that asks for this; keywords replace members of the heading."""
    number = next(_numbers)
    members: dict[str, Any] = {
        "id": f"{number:032x}",
        "created": START + timedelta(seconds=number),
        "name": f"Lot {number}",
        "confidence": 0.95,
        "catalogue_revision": 1,
        "version": "0.1.0",
    }
    sources = [source(*asks, points=points, plan=plan)]
    return Draft(Heading(**{**members, **heading}), sources, needs_of(sources, 0.95), goods)
