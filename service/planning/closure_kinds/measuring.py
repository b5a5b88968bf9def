"""What is added up over a build, so that closure models can be compared, in whole numbers.

The planner ranks the closures of one point by price where all that fit have one, else by the price of the closure
alone, else by outer volume, then by trays. A build needs one measure for all its points: the first of these that every
offer of the build has. A model whose outer volume is unknown ranks behind all known ones, as it does for one point;
where no volume is known, trays are counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from service.domain.catalogue import Closure
from service.domain.closure_kinds import KindsMeasure
from service.planning.closure_kinds.offers import Offer, PointClass


class Measured(NamedTuple):
    """A measure with each offer's amount in whole numbers, ``10 ** places`` to the unit.

    ``unsized`` models have an amount to rank them behind all others, which is not to be told.
    """

    measure: KindsMeasure
    unit: str
    places: int
    amounts: Mapping[Offer, int]
    unsized: frozenset[str] = frozenset()
    notes: tuple[str, ...] = ()

    def told(self, amount: int) -> Decimal:
        """A sum of amounts in the unit."""
        return Decimal(amount).scaleb(-self.places)


def measured(classes: Sequence[PointClass], closures: Mapping[str, Closure]) -> Measured:
    """The first measure that all offers of the build have, with their amounts in it.

    ``closures`` has every model that is offered. Raises ``ValueError`` for a negative price.
    """
    offers = {offer: None for each in classes for offer in each.offers}
    whole = _priced("price", {offer: (offer.price, offer.currency) for offer in offers})
    if whole is not None:
        return whole
    alone = {offer: (closures[offer.closure].price, closures[offer.closure].currency) for offer in offers}
    empty = _priced("closure_price", alone)
    if empty is not None:
        note = "trays are not all priced in one currency: the price of the closures alone is compared"
        return empty._replace(notes=(note,))
    return _sized(classes, closures, offers)


def _priced(measure: KindsMeasure, prices: Mapping[Offer, tuple[Decimal | None, str | None]]) -> Measured | None:
    known = {offer: price for offer, (price, _) in prices.items() if price is not None}
    currencies = {currency for _, currency in prices.values()}
    if len(known) < len(prices) or len(currencies) > 1:
        return None
    if any(price < 0 for price in known.values()):
        raise ValueError("a price is negative")
    places = max((_places(price) for price in known.values()), default=2)
    amounts = {offer: int(price.scaleb(places)) for offer, price in known.items()}
    return Measured(measure, next(iter(currencies), None) or "", places, amounts)


def _places(price: Decimal) -> int:
    """Digits behind the point, two at least."""
    exponent = price.as_tuple().exponent
    return max(2, -exponent) if isinstance(exponent, int) else 2


def _sized(classes: Sequence[PointClass], closures: Mapping[str, Closure], offers: Iterable[Offer]) -> Measured:
    """By outer volume in mm³; a closure of unknown size counts for more than all of the build's known ones together."""
    volumes = {code: closures[code].outer_mm3 for code in sorted({offer.closure for offer in offers})}
    known = {code: round(volume) for code, volume in volumes.items() if volume is not None}
    if not known:
        note = "neither prices nor outer sizes are known: the trays are counted"
        return Measured("trays", "trays", 0, {offer: offer.trays for offer in offers}, notes=(note,))
    largest = max(known.values())
    unknown = sorted(volumes.keys() - known.keys())
    behind = 1 + largest * sum(each.points for each in classes)
    notes = ["prices are not all known in one currency: the outer volume is compared"]
    if unknown:
        notes.append(f"outer size unknown, ranked behind all others and not in the totals: {', '.join(unknown)}")
    amounts = {offer: known.get(offer.closure, behind) for offer in offers}
    return Measured("volume", "mm³", 0, amounts, frozenset(unknown), tuple(notes))
