"""An order put together: everything but the stock is known before, and the stock settles it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from service.domain.order import Item, Order
from service.planning.orders.goods import Goods
from service.planning.orders.needs import Need, Sources
from service.planning.orders.remarks import notes_of
from service.planning.orders.settling import lines_of, totals_of, unpriced


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands above an order's lines; ``again``: it may order what another one has already.

    ``recorded``: the rates behind its spares were learned anew from the records.
    """

    id: str
    created: datetime
    name: str
    confidence: float
    catalogue_revision: int
    version: str
    again: bool = False
    recorded: bool = False
    supplier: str | None = None
    deliver_to: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """An order before it is known what the stock gives: ``settled`` makes it whole."""

    heading: Heading
    sources: Sources
    needs: tuple[Need, ...]
    goods: Mapping[Item, Goods]

    def settled(self, available: Mapping[Item, Decimal]) -> Order:
        """The order, given what is available of each item."""
        head = self.heading
        lines = lines_of(self.needs, self.goods, available)
        return Order(
            id=head.id,
            created=head.created,
            name=head.name,
            state="draft",
            revision=1,
            confidence=head.confidence,
            catalogue_revision=head.catalogue_revision,
            version=head.version,
            sources=tuple(source for source, _ in self.sources),
            lines=lines,
            totals=totals_of(lines),
            unpriced=unpriced(lines),
            again=head.again,
            supplier=head.supplier,
            deliver_to=head.deliver_to,
            reference=head.reference,
            notes=notes_of(self.sources, lines, head.confidence, head.recorded),
            moments={"draft": head.created},
        )
