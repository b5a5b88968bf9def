"""What a change of an order's state does to the stock.

A draft holds what it takes from stock. When its packs are received they go to stock, and what the order bought for its
plans is held as well, so far as it came; the surplus of the packs is free for others. Issuing takes all that is held
out of the store. Withdrawing holds nothing any longer; what was received by then stays. So for every item, always::

    on hand = counted at first + received - issued
    held    = what the orders that are draft, placed or received hold;  0 <= held <= on hand
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

from service.domain.order import Item, Order, OrderLine, OrderState

NEXT: Mapping[OrderState, tuple[OrderState, ...]] = {
    "draft": ("placed", "withdrawn"),
    "placed": ("received", "withdrawn"),
    "received": ("issued", "withdrawn"),
    "issued": (),
    "withdrawn": (),
}
"""The states that may follow each state."""

_NONE = Decimal(0)


class Movement(NamedTuple):
    """What is added to an item's stock on hand and to what is held of it; negative where it is taken off."""

    item: Item
    on_hand: Decimal
    held: Decimal


def may_follow(order: Order, state: OrderState) -> bool:
    """Whether an order can go to a state from the one it is in."""
    return state in NEXT[order.state]


def movements(order: Order, state: OrderState | None) -> tuple[Movement, ...]:
    """What going on to ``state`` (None: it is deleted) does to the stock; items that are left alone are left out.

    The order is taken to be in the state before; where it is to be ``received``, its lines say what came.
    """
    moved = (_movement(line, state) for line in order.lines)
    return tuple(movement for movement in moved if movement.on_hand or movement.held)


def holding(order: Order) -> tuple[Movement, ...]:
    """What the making of an order does: it holds what it counts on."""
    lines = (line for line in order.lines if line.from_stock)
    return tuple(Movement(_item(line), _NONE, line.from_stock) for line in lines)


def _movement(line: OrderLine, to: OrderState | None) -> Movement:
    came = Decimal((line.received or 0) * line.pack_of)
    bought = min(line.to_buy, came)
    if to == "received":
        return Movement(_item(line), came, bought)
    if to == "issued":
        return Movement(_item(line), -line.from_stock - bought, -line.from_stock - bought)
    if to in ("withdrawn", None):
        return Movement(_item(line), _NONE, -line.from_stock - bought)
    return Movement(_item(line), _NONE, _NONE)


def _item(line: OrderLine) -> Item:
    return Item(line.kind, line.item)
