"""Figures as sheets show them."""

from __future__ import annotations

from decimal import Decimal


def trimmed(quantity: Decimal) -> Decimal:
    """The same quantity without trailing noughts: 12 for 12.000."""
    plain = quantity.normalize()
    return plain.quantize(Decimal(1)) if plain == plain.to_integral_value() else plain


def quantity_text(quantity: Decimal) -> str:
    """A quantity with its thousands apart: ``12,000`` or ``0.04``."""
    return f"{trimmed(quantity):,f}"


def money_text(amount: Decimal) -> str:
    """Money with its cents, thousands apart."""
    return f"{amount:,.2f}"
