"""Orders: make one, list them, read one, remove a draft."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.api.answers import nothing, read_answer
from service.api.bodies import read_body
from service.api.negotiation import chosen
from service.api.newest_first import newest_first
from service.api.order_sheets import FORMS, in_form
from service.api.order_storing import store_order
from service.api.preconditions import expected
from service.api.state import parameter, state
from service.documents.order import order_to, summary_to
from service.store import OrderFilter

routes = Blueprint("orders", __name__)


@routes.post("/v1/orders")
def create_order() -> Response:
    """Make an order from plans and takeoffs."""
    return store_order(read_body("OrderRequest"), request.headers.get("Idempotency-Key"))


@routes.get("/v1/orders")
def read_list() -> Response:
    """A page of the orders, the newest first."""
    filters = {"state": parameter("state"), "name": parameter("name")}
    which = OrderFilter(filters["state"], filters["name"])
    return newest_first(filters, lambda limit, after: state().store.orders.listed(limit, after, which), summary_to)


@routes.get("/v1/orders/<id>")
def read_order(id: str) -> Response:
    """One order as it stands, in the form that is accepted."""
    order = state().store.orders.get(id)
    media_type = chosen(request.headers.get("Accept"), ("application/json", *FORMS))
    if media_type is not None and media_type in FORMS:
        return in_form(order, media_type)
    return read_answer(order_to(order), order.revision)


@routes.delete("/v1/orders/<id>")
def delete_order(id: str) -> Response:
    """Remove a draft and give back the stock that it holds."""
    state().store.orders.delete(id, expected())
    return nothing()
