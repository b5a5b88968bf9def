"""Orders: what is to be bought, made from a plan or takeoff, and moved on as it is placed, received and issued."""

from __future__ import annotations

from typing import Any, cast

from flask import Response, request

from service.api.bodies import allowed
from service.api.order_storing import store_order
from service.api.problems import bad_parameters
from service.api.state import state
from service.documents.order import order_to
from service.domain.order import OrderState
from service.pages.blueprint import routes
from service.pages.lists import newest, search_text
from service.pages.rendering import page, see, sent_key
from service.pages.sheet_links import order_sheets
from service.planning.orders.moving import NEXT
from service.store import OrderFilter, Revision

LINES_SHOWN = 100
ACTIONS = {
    "placed": "Placed with the supplier",
    "received": "All packs received",
    "issued": "Issued to the crew",
    "withdrawn": "Withdraw this order",
}
"""What the buttons say that move an order on."""


@routes.get("/orders")
def list_orders() -> Response:
    """The orders, the newest first."""
    orders, following = newest(
        lambda limit, after, name: state().store.orders.listed(limit, after, OrderFilter(None, name))
    )
    return page("orders.html", orders=orders, following=following, text=search_text())


@routes.post("/orders")
def make_order() -> Response:
    """Make an order from one plan or one takeoff."""
    document: dict[str, Any] = {"name": request.form.get("name", "")}
    for kind in ("plans", "takeoffs"):
        if request.form.get(kind):
            document[kind] = [request.form[kind]]
    answer = store_order(allowed("OrderRequest", document), sent_key())
    return see(answer.headers["Location"].removeprefix("/v1"))


@routes.get("/orders/<id>")
def read_order(id: str) -> Response:
    """One order."""
    order = state().store.orders.get(id)
    document = order_to(order)
    moves = [(each, ACTIONS[each]) for each in NEXT[order.state]]
    lines, more = document["lines"][:LINES_SHOWN], len(document["lines"]) - LINES_SHOWN
    sheets = order_sheets(id)
    return page("order.html", order=document, lines=lines, more=more, moves=moves, sheets=sheets)


@routes.post("/orders/<id>/state")
def move_order(id: str) -> Response:
    """Move an order on, from the state in which the page showed it."""
    revision, goal = request.form.get("revision", ""), request.form.get("state", "")
    if not (revision.isascii() and revision.isdigit() and len(revision) < 10) or goal not in ACTIONS:
        raise bad_parameters([("state", "value", "This is none of the buttons of the page.")])
    state().store.orders.move(id, cast(OrderState, goal), Revision(int(revision)), ())
    return see(f"/orders/{id}")
