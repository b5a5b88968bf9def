"""The stock, to be read: what lies in the store and what of it orders hold."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Response, request

from service.api.paging import read_cursor, scope_of, write_cursor
from service.api.state import state
from service.documents.stock import level_to
from service.pages.blueprint import routes
from service.pages.rendering import page

PER_PAGE = 100


@routes.get("/stock")
def list_stock() -> Response:
    """The stock by code."""
    store, cursor = state().store, request.args.get("cursor")
    scope = scope_of(request.path, {})
    place = read_cursor(store.cursor_key(), scope, cursor) if cursor else None
    found = store.stock.listed(PER_PAGE + 1, (place[0], place[1]) if place else None, None)
    following = None
    if len(found) > PER_PAGE:
        last = found[PER_PAGE - 1].item
        following = f"/stock?{urlencode({'cursor': write_cursor(store.cursor_key(), scope, [last.code, last.kind])})}"
    return page("stock.html", levels=[level_to(level) for level in found[:PER_PAGE]], following=following)
