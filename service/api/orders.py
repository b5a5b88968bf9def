"""Orders: make one, list them, read one, remove a draft."""

from __future__ import annotations

from datetime import datetime

from flask import Blueprint, Response, request

from service.api.answers import json_answer, nothing, read_answer
from service.api.bodies import read_body
from service.api.negotiation import chosen
from service.api.order_sheets import FORMS, in_form
from service.api.order_storing import store_order
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
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
    store, limit, cursor = state().store, parameter("limit"), parameter("cursor")
    filters = {"state": parameter("state"), "name": parameter("name")}
    scope = scope_of(request.path, filters)
    after = _place(read_cursor(store.cursor_key(), scope, cursor)) if cursor else None
    found = store.orders.listed(limit + 1, after, OrderFilter(filters["state"], filters["name"]))
    items = [summary_to(order) for order in found[:limit]]
    if len(found) <= limit:
        return json_answer({"items": items, "next": None})
    last = found[limit - 1]
    following = write_cursor(store.cursor_key(), scope, [last.created.isoformat(), last.id])
    link = next_link(request.path, filters, limit, following)
    return json_answer({"items": items, "next": following}, headers={"Link": link})


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


def _place(place: list[str]) -> tuple[datetime, str]:
    return datetime.fromisoformat(place[0]), place[1]
