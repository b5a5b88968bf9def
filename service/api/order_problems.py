"""What stands in the way of orders and of changes of stock, as problems."""

from __future__ import annotations

from service.api.problems import Problem
from service.building.order_sources import Unfinished
from service.store import Held, InOrder, NotInState, Ordered, OrderedAlready


def ordered(error: Ordered) -> Problem:
    """Sources that stand in an order already; each error names the order."""
    errors = [{"pointer": each.pointer, "code": "ordered", "detail": _sentence(each)} for each in error.found]
    orders = ", ".join(dict.fromkeys(each.order for each in error.found[:10]))
    return Problem("ordered-already", f"It was ordered before ({orders}). To order it once more, say again.", errors)


def _sentence(found: OrderedAlready) -> str:
    return f"This {found.kind} is in the order /v1/orders/{found.order}, {found.order_name or 'without a name'}."


def in_order(error: InOrder) -> Problem:
    """A plan or takeoff that an order still needs, and so is not removed."""
    return Problem("in-order", f"{_sentence(error.found)} It can be removed once that order is issued or withdrawn.")


def unfinished(error: Unfinished) -> Problem:
    """A takeoff that is still being worked on."""
    told = [{"pointer": error.pointer, "code": "unfinished", "detail": str(error)}]
    return Problem("unfinished", str(error), told, {"Retry-After": "1"})


def not_in_state(error: NotInState) -> Problem:
    """A state that cannot follow the present one."""
    return Problem("wrong-state", str(error))


def held(error: Held) -> Problem:
    """More is held than there would be."""
    return Problem("held", str(error))
