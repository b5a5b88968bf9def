"""How numbers are written in answers: rounded once, and without a fraction where there is none."""

from __future__ import annotations

from decimal import Decimal


def plain(value: float) -> float:
    """The number as an ``int`` where it is whole, so that 900 and 900.0 are written alike."""
    whole = int(value)
    return whole if whole == value else value


def rounded(value: float, digits: int = 1) -> float:
    """The number to so many decimals; lengths (mm) and areas (mm²) have one, losses (dB) six, hours two."""
    return plain(round(value, digits))


def maybe(value: float | None, digits: int = 1) -> float | None:
    """As ``rounded``, and None stays None."""
    return None if value is None else rounded(value, digits)


def amount(money: Decimal) -> str:
    """Money as text with two decimals."""
    return f"{money:.2f}"


def count(quantity: Decimal) -> float:
    """A quantity as a number of at most six decimals."""
    return rounded(float(quantity), 6)
