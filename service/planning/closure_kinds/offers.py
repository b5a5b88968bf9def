"""What each closure model would come to at a splice point, for points that are alike."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import NamedTuple

from service.domain.plan import Alternative


class Offer(NamedTuple):
    """A closure model that fits a splice point: its new trays, and the price of closure and trays where it is known."""

    closure: str
    trays: int
    price: Decimal | None = None
    currency: str | None = None


class PointClass(NamedTuple):
    """So many splice points that want the same, with an offer from each model that fits them (none: not any)."""

    points: int
    offers: tuple[Offer, ...]


def offers_of(candidates: Iterable[Alternative]) -> tuple[Offer, ...]:
    """The offers in a fit check's verdicts: of every candidate that fits."""
    return tuple(Offer(each.closure, each.trays or 0, each.price, each.currency) for each in candidates if each.fits)
