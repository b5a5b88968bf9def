"""Needs settled against the stock there is: what is held, what is bought, in packs rounded up once, at what price."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from math import ceil

from service.domain.faults import Fault, Refused
from service.domain.order import Item, OrderLine, OrderTotal
from service.planning.orders.goods import Goods
from service.planning.orders.needs import Need
from service.planning.orders.summing import unit_fault

KINDS = ("closure", "tray", "sleeve", "material")
"""The kinds of items in the order in which they are told."""

_NONE = Decimal(0)
_CENT = Decimal("0.01")


def check_goods(needs: Iterable[Need], goods: Mapping[Item, Goods]) -> None:
    """Raise ``Refused`` where the catalogue has no such item, or counts it in another unit than the plans did."""
    faults = []
    for need in needs:
        found = goods.get(need.item)
        if found is None:
            detail = f"The catalogue has no {need.item.kind} {need.item.code} any more."
            faults.append(Fault(need.pointer, "unknown_code", detail))
        elif found.unit != need.unit:
            faults.append(unit_fault(need.pointer, need.item, need.unit, found.unit))
    if faults:
        raise Refused(faults)


def lines_of(
    needs: Iterable[Need], goods: Mapping[Item, Goods], available: Mapping[Item, Decimal]
) -> tuple[OrderLine, ...]:
    """The lines of an order in their order; ``available`` is what nobody holds of an item, none where it is absent."""
    lines = [_line(need, goods[need.item], available.get(need.item, _NONE)) for need in needs]
    return tuple(sorted(lines, key=lambda line: (line.currency or "~", KINDS.index(line.kind), line.item)))


def totals_of(lines: Iterable[OrderLine]) -> tuple[OrderTotal, ...]:
    """What the priced lines come to, by currency."""
    totals: dict[str, OrderTotal] = {}
    for line in lines:
        if line.currency is not None and line.price is not None:
            _, price, count = totals.get(line.currency, OrderTotal(line.currency, _NONE, 0))
            totals[line.currency] = OrderTotal(line.currency, price + line.price, count + 1)
    return tuple(totals[currency] for currency in sorted(totals))


def unpriced(lines: Iterable[OrderLine]) -> int:
    """How many lines have packs to buy and no price."""
    return sum(line.packs > 0 and line.price is None for line in lines)


def _line(need: Need, goods: Goods, available: Decimal) -> OrderLine:
    wanted = need.quantity - need.included
    from_stock = max(_NONE, min(available, wanted))
    to_buy = wanted - from_stock
    packs = ceil(to_buy / goods.pack_of)
    price = None if goods.price is None else (packs * goods.price).quantize(_CENT, ROUND_HALF_UP)
    return OrderLine(
        kind=need.item.kind,
        item=need.item.code,
        title=goods.title,
        unit=need.unit,
        quantity=need.quantity,
        included=need.included,
        from_stock=from_stock,
        to_buy=to_buy,
        pack_of=goods.pack_of,
        packs=packs,
        surplus=packs * goods.pack_of - to_buy,
        pack_price=goods.price,
        price=price,
        currency=goods.currency,
        retired=goods.retired,
        spares=need.spares,
        shares=need.shares,
    )
