"""Where an order's item comes from: plans and splice points, a page at a time."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, request

from service.api.answers import json_answer
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.problems import Problem
from service.api.state import parameter, state
from service.building.order_tracing import Position, Trace, traced
from service.documents.order_lines import share_to

routes = Blueprint("order_sources", __name__)


@routes.get("/v1/orders/<id>/items/<code>/sources")
def read_sources(id: str, code: str) -> Response:
    """A page of what asks for an item of the order."""
    store, limit, cursor = state().store, parameter("limit"), parameter("cursor")
    scope = scope_of(request.path, {})
    start = Position(*map(int, read_cursor(store.cursor_key(), scope, cursor))) if cursor else Position()
    order = store.orders.get(id)
    if not any(line.item == code for line in order.lines):
        raise Problem("not-found", "The order has no such item.")
    found, following = traced(store, order, code, start, limit)
    items = [_written(trace) for trace in found]
    if following is None:
        return json_answer({"items": items, "next": None})
    text = write_cursor(store.cursor_key(), scope, [str(number) for number in following])
    return json_answer({"items": items, "next": text}, headers={"Link": next_link(request.path, {}, limit, text)})


def _written(trace: Trace) -> dict[str, Any]:
    document = share_to(trace.share)
    if trace.place is not None:
        document["place"] = trace.place
    return {**document, "name": trace.name, "kind": trace.item.kind, "item": trace.item.code}
