"""An order: what plans and takeoffs ask for together, less what is there already, in whole packs.

Quantities are exact decimals in the item's unit, money is ``Decimal``. An order's lines are settled when it is made and
never change; what changes is its ``state``, and with it the stock that it holds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Literal, NamedTuple

from service.domain.rework import Rework

ItemKind = Literal["closure", "tray", "sleeve", "material"]
OrderState = Literal["draft", "placed", "received", "issued", "withdrawn"]
"""How far an order has got.

``draft``: made, and the stock it counts on is held for it. ``placed``: the supplier has it. ``received``: the packs are
in the store, and all that its plans need is held. ``issued``: what its plans need was handed out to the crews.
``withdrawn``: called off; nothing is held any more, and its plans can be ordered anew.
"""


class Item(NamedTuple):
    """What is ordered and kept in stock: a catalogue entry by its kind and code."""

    kind: ItemKind
    code: str


class Share(NamedTuple):
    """What one source asks of an item: all that it needs, and what of that comes in its closures' boxes.

    For a sleeve, ``quantity`` has the spares that the source would carry on its own.
    """

    kind: Literal["plan", "takeoff"]
    id: str
    quantity: Decimal
    included: Decimal


class Short(NamedTuple):
    """An item of which only so many packs came."""

    item: Item
    packs: int


class ReworkGroup(NamedTuple):
    """So many splices whose joints are made again with the probability ``rework``, given or learned."""

    splices: int
    rework: Rework


@dataclass(frozen=True, slots=True)
class PooledSpares:
    """The spares of a sleeve, pooled over the whole order, beside what the sources would carry each on its own.

    ``pooled`` spares last for all ``splices`` with ``confidence``; ``separate`` is the sum of the plans' own spares,
    each at its own confidence. ``groups`` are the splices by rework rate, more than one where the rates differ.
    """

    splices: int
    pooled: int
    separate: int
    confidence: float
    groups: tuple[ReworkGroup, ...]


@dataclass(frozen=True, slots=True)
class OrderRequest:
    """What is to be ordered: plans and takeoffs by their ids.

    ``confidence`` None: the highest that their plans were made with. ``rework``: the rates behind the spares are
    learned anew from the records (None: as the plans were made). ``again``: also what another order has already.
    ``strict``: not with a takeoff of which splice points would be left out.
    """

    plans: tuple[str, ...] = ()
    takeoffs: tuple[str, ...] = ()
    name: str = ""
    confidence: float | None = None
    again: bool = False
    strict: bool = False
    supplier: str | None = None
    deliver_to: str | None = None
    reference: str | None = None
    rework: Literal["recorded"] | None = None


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One item of an order.

    ``quantity`` is needed in all, ``included`` comes in closures' boxes, ``from_stock`` is held in the store, and the
    rest, ``to_buy``, is rounded up to ``packs`` of ``pack_of`` once; ``surplus`` is what the packs hold beyond it.
    ``price`` is of all packs, ``pack_price`` of one; both are None where the catalogue has none. ``retired``: the
    catalogue has given the item up. ``spares`` is of sleeves alone. ``shares`` say where the quantity comes from.
    ``received`` is how many packs came; None as long as none were due.
    """

    kind: ItemKind
    item: str
    title: str
    unit: str
    quantity: Decimal
    included: Decimal
    from_stock: Decimal
    to_buy: Decimal
    pack_of: int
    packs: int
    surplus: Decimal
    pack_price: Decimal | None = None
    price: Decimal | None = None
    currency: str | None = None
    retired: bool = False
    spares: PooledSpares | None = None
    shares: tuple[Share, ...] = ()
    received: int | None = None


@dataclass(frozen=True, slots=True)
class OrderSource:
    """A plan or a takeoff that an order is made from.

    ``points`` splice points are in the order; ``unfit`` do not fit and ``faulty`` could not be planned: those are left
    out. A plan has one point.
    """

    kind: Literal["plan", "takeoff"]
    id: str
    name: str
    points: int = 1
    unfit: int = 0
    faulty: int = 0


class OrderTotal(NamedTuple):
    """What the priced lines of one currency come to."""

    currency: str
    price: Decimal
    lines: int


@dataclass(frozen=True, slots=True)
class Order:
    """An order; lines go by currency (those without a price last), then closures, trays, sleeves, materials by code.

    ``confidence`` is that of the pooled spares; ``catalogue_revision`` that of titles, packs and prices, ``version``
    that of the service. ``unpriced`` counts the lines to be bought that have no price and are in no total. ``again``:
    it may order what another order has already. ``moments`` say when it came to each state that it has been in.
    """

    id: str
    created: datetime
    name: str
    state: OrderState
    revision: int
    confidence: float
    catalogue_revision: int
    version: str
    sources: tuple[OrderSource, ...]
    lines: tuple[OrderLine, ...]
    totals: tuple[OrderTotal, ...]
    unpriced: int = 0
    again: bool = False
    supplier: str | None = None
    deliver_to: str | None = None
    reference: str | None = None
    notes: tuple[str, ...] = ()
    moments: Mapping[OrderState, datetime] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OrderSummary:
    """What a list of orders says of one; ``lines`` counts them."""

    id: str
    created: datetime
    name: str
    state: OrderState
    revision: int
    lines: int
    totals: tuple[OrderTotal, ...]


@dataclass(frozen=True, slots=True)
class StockLevel:
    """What lies in the store of an item: ``on_hand`` in all, of which ``held`` is spoken for by orders."""

    item: Item
    on_hand: Decimal
    held: Decimal
    revision: int

    @property
    def available(self) -> Decimal:
        """What no order holds."""
        return self.on_hand - self.held
