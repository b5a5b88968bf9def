"""Sums over a build as people read them: with their unit, and what they are sums of."""

from __future__ import annotations

from decimal import Decimal

from service.domain.closure_kinds import ClosureKinds, KindsMeasure

OF_WHAT: dict[KindsMeasure, str] = {
    "price": "price of closures and their trays",
    "closure_price": "price of the closures alone",
    "volume": "outer volume of the closures",
    "trays": "trays",
}
"""What the totals of a choice are."""


def amount_text(kinds: ClosureKinds, amount: Decimal) -> str:
    """A total with its unit: money with two decimals, volumes in dm³, trays in whole numbers; thousands apart."""
    if kinds.measure == "volume":
        return f"{amount / 1_000_000:,.1f} dm³"
    if kinds.measure == "trays":
        return f"{amount:,.0f} tray{'' if amount == 1 else 's'}"
    return f"{amount:,.2f} {kinds.unit}"


def share_text(amount: Decimal, whole: Decimal) -> str:
    """What an amount is of a whole, in per cent with one decimal; empty where the whole is nothing."""
    if not whole:
        return ""
    return "0 %" if not amount else f"{amount / whole * 100:.1f} %"
