"""What a closure would come to for a demand, kept as text: the trays, and the exact price where there is one.

``"3 118.50 EUR"`` is three trays and 118.50 euros for closure and trays; ``"3"`` has no price.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from service.planning.closure_kinds.offers import Offer

APART: Mapping[str, str | None] = {"": None}
"""What stands in place of offers for a demand that has no part in the choice."""


def offer_written(offer: Offer) -> str:
    """An offer as text."""
    price = "" if offer.price is None else f" {offer.price} {offer.currency}"
    return f"{offer.trays}{price}"


def offers_read(closures: Mapping[str, str | None]) -> tuple[Offer, ...]:
    """The offers of a demand, by the code of the closure; ``ValueError`` for what ``offer_written`` did not write."""
    return tuple(_offer(code, text or "0") for code, text in closures.items())


def _offer(code: str, text: str) -> Offer:
    trays, *price = text.split(" ")
    if not price:
        return Offer(code, int(trays))
    amount, currency = price
    return Offer(code, int(trays), Decimal(amount), currency)
