"""What an order needs of each item: all sources together, the spares of sleeves pooled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.domain.faults import Fault, Refused
from service.domain.order import Item, OrderSource, PooledSpares, ReworkGroup, Share
from service.domain.request import Rules
from service.domain.rework import Given, Rework, rework_rank
from service.planning.orders.summing import SourceSum, unit_fault
from service.planning.spares import remakes_within

MOST = 1_000_000_000
"""The largest quantity of one item; up to it a document keeps every millionth."""

Sources = Sequence[tuple[OrderSource, SourceSum]]


@dataclass(frozen=True, slots=True)
class Need:
    """So much of an item in all, in ``unit``; ``included`` is no more than that. ``pointer``: a source that asks it."""

    item: Item
    unit: str
    quantity: Decimal
    included: Decimal
    spares: PooledSpares | None
    shares: tuple[Share, ...]
    pointer: str


def confidence_of(sources: Sources, asked: float | None) -> float:
    """The confidence of the pooled spares: the one asked for, or the highest that a plan was made with."""
    if asked is not None:
        return asked
    given = [sleeve.highest for _, summed in sources for sleeve in summed.sleeves.values()]
    return max(given, default=Rules().confidence)


def needs_of(sources: Sources, confidence: float) -> tuple[Need, ...]:
    """The needs by kind and code. Raises ``Refused`` where units differ or a quantity is beyond counting.

    Of a sleeve, all splices and the pooled spares are needed; of anything else what the sources ask for.
    """
    shares: dict[Item, list[Share]] = {}
    units: dict[Item, tuple[str, str]] = {}
    faults: list[Fault] = []
    for source, summed in sources:
        for item, total in summed.items.items():
            unit, _ = units.setdefault(item, (total.unit, summed.pointer))
            if unit != total.unit:
                faults.append(unit_fault(summed.pointer, item, total.unit, unit))
            shares.setdefault(item, []).append(Share(source.kind, source.id, total.quantity, total.included))
    needs = []
    for item in sorted(shares):
        unit, pointer = units[item]
        spares = _pooled(sources, item.code, confidence) if item.kind == "sleeve" else None
        asked = sum((share.quantity for share in shares[item]), Decimal(0))
        quantity = asked if spares is None else Decimal(spares.splices + spares.pooled)
        if quantity > MOST or asked > MOST:
            faults.append(Fault(pointer, "too_much", f"An order has up to {MOST} of an item; {item.code} has more."))
        included = min(quantity, sum((share.included for share in shares[item]), Decimal(0)))
        needs.append(Need(item, unit, quantity, included, spares, tuple(shares[item]), pointer))
    if faults:
        raise Refused(faults)
    return tuple(needs)


def _pooled(sources: Sources, sleeve: str, confidence: float) -> PooledSpares:
    groups: Counter[Rework] = Counter()
    separate = 0
    for _, summed in sources:
        if sleeve in summed.sleeves:
            for rework, splices in summed.sleeves[sleeve].groups.items():
                # Of a rate that is given it does not matter here whose it is.
                groups[rework.rate if isinstance(rework, Given) else rework] += splices
            separate += summed.sleeves[sleeve].separate
    ordered = tuple(ReworkGroup(groups[rework], rework) for rework in sorted(groups, key=rework_rank))
    pooled = remakes_within(ordered, confidence)
    return PooledSpares(sum(groups.values()), pooled, separate, confidence, ordered)
