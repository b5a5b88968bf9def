"""What stands in the way of an order or of a change of stock."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from service.domain.order import Item, OrderState
from service.store.errors import StoreError


class OrderedAlready(NamedTuple):
    """A plan or takeoff (``kind``, ``id``) that stands in an order already; ``pointer``: its place in the request."""

    kind: str
    id: str
    order: str
    order_name: str
    pointer: str = ""


class Ordered(StoreError):
    """Something was ordered before and is not to be ordered again; ``found`` says what, and in which order."""

    def __init__(self, found: Sequence[OrderedAlready]) -> None:
        self.found = tuple(found)
        super().__init__("; ".join(f"{each.kind} {each.id} is in order {each.order}" for each in self.found))


class InOrder(StoreError):
    """A plan or takeoff cannot be removed, since it stands in an order (``found``) that is not over."""

    def __init__(self, found: OrderedAlready) -> None:
        self.found = found
        super().__init__(f"{found.kind} {found.id} is in order {found.order}")


class NotInState(StoreError):
    """The order cannot go from the state it is in to the one asked for (None: it is to be deleted)."""

    def __init__(self, state: OrderState, to: OrderState | None) -> None:
        self.state, self.to = state, to
        super().__init__(f"The order is {state}, and cannot be {to or 'deleted'}.")


class Held(StoreError):
    """More of an item is held by orders than there would be."""

    def __init__(self, item: Item) -> None:
        self.item = item
        super().__init__(f"Orders hold more of {item.code} than there would be.")
