"""The bodies of an order, of its change of state, and of a stock level."""

from __future__ import annotations

from service.api.fields import Choice, Flag, Integer, Items, Number
from service.api.schemas import words


def _ids(most: int) -> Items:
    return Items(words.record_id(), most=most, unique=True)


class OrderRequestSchema(words.Body):
    """What is to be ordered."""

    name = words.line(shortest=0)
    plans = _ids(500)
    takeoffs = _ids(50)
    confidence = Number(least=0.5, most=0.9999)
    rework = Choice("recorded")
    again = Flag()
    strict = Flag()
    supplier = words.line()
    deliver_to = words.line()
    reference = words.line()


class OrderShortSchema(words.Body):
    """An item of which fewer packs came."""

    kind = Choice("closure", "tray", "sleeve", "material", required=True)
    item = words.code(required=True)
    packs = Integer(least=0, most=1_000_000_000, required=True)


class OrderStateChangeSchema(words.Body):
    """The state that an order is to go on to."""

    state = Choice("draft", "placed", "received", "issued", "withdrawn", required=True)
    short = Items(words.inner(OrderShortSchema), most=1000)


class StockLevelSchema(words.Body):
    """How much there is of an item; what orders hold of it is said in answers and ignored here."""

    on_hand = Number(least=0, most=1_000_000_000, required=True)
    kind = Choice("closure", "tray", "sleeve", "material")
    item = words.code()
    held = Number(least=0, most=1_000_000_000)
    available = Number(least=0, most=1_000_000_000)
    revision = Integer(least=0, most=2**53 - 1)
