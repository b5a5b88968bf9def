"""The state of an order: read, and moved on, with the stock that goes with it."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response

from service.api.answers import read_answer, tagged
from service.api.bodies import read_body
from service.api.preconditions import expected
from service.api.problems import refused
from service.api.state import state
from service.documents.order import moment_to
from service.documents.order_request import short_from
from service.domain.faults import Fault
from service.domain.order import Order
from service.planning.orders.moving import NEXT

routes = Blueprint("order_states", __name__)


@routes.get("/v1/orders/<id>/state")
def read_state(id: str) -> Response:
    """The state of an order, and what may follow."""
    order = state().store.orders.get(id)
    return read_answer(_standing(order), order.revision)


@routes.put("/v1/orders/<id>/state")
def put_state(id: str) -> Response:
    """Let an order go on to a state."""
    expect = expected()
    document = read_body("OrderStateChange")
    if "short" in document and document["state"] != "received":
        raise refused([Fault("/short", "not_received", "Packs come short when an order is received.")])
    order = state().store.orders.move(id, document["state"], expect, short_from(document))
    return tagged(_standing(order), order.revision)


def _standing(order: Order) -> dict[str, Any]:
    since = order.moments[order.state]
    return {"state": order.state, "since": moment_to(since), "next": list(NEXT[order.state])}
