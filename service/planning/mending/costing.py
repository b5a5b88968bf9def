"""What a change costs in material, where the catalogue tells."""

from __future__ import annotations

from decimal import Decimal

from service.domain.catalogue import Closure, Sleeve, Tray

Money = tuple[Decimal | None, str | None]
"""An amount with its currency; both None where it is not known."""

UNKNOWN: Money = (None, None)


def trays_cost(tray: Tray, count: int) -> Money:
    """So many trays more."""
    return UNKNOWN if tray.price is None else (tray.price * count, tray.currency)


def closure_cost(other: Closure, asked: Closure) -> Money:
    """Another closure instead of the one that was asked for, trays apart; below 0 where it is the cheaper one."""
    if other.price is None or asked.price is None or other.currency != asked.currency:
        return UNKNOWN
    return other.price - asked.price, other.currency


def sleeves_cost(other: Sleeve, chosen: Sleeve, count: int) -> Money:
    """So many of another sleeve instead of the one chosen, each at its share of a pack, rounded up to a cent."""
    if other.price is None or chosen.price is None or other.currency != chosen.currency:
        return UNKNOWN
    more = count * (other.price / other.pack_of - chosen.price / chosen.pack_of)
    return more.quantize(Decimal("0.01"), rounding="ROUND_CEILING"), other.currency
