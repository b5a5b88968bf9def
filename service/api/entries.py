"""The catalogue's six sections: a list each, and an entry at its code."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.api.answers import json_answer, nothing, read_answer, tagged
from service.api.bodies import read_body
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.preconditions import expected
from service.api.problems import Problem, refused
from service.api.state import parameter, state
from service.domain.faults import Fault
from service.store import NotFound

SCHEMAS = {
    "sleeves": "Sleeve",
    "trays": "Tray",
    "closures": "Closure",
    "cables": "Cable",
    "methods": "Method",
    "materials": "Material",
}
"""The schema of the entries of each section."""


def section(kind: str) -> Blueprint:
    """The routes of one section."""
    routes = Blueprint(kind, __name__)

    @routes.get(f"/v1/{kind}")
    def read_list() -> Response:
        """A page of the section."""
        return _page(kind)

    @routes.get(f"/v1/{kind}/<code>")
    def read_entry(code: str) -> Response:
        """One entry."""
        entry = state().store.entry(kind, code)
        return read_answer(entry.whole(), entry.revision)

    @routes.put(f"/v1/{kind}/<code>")
    def put_entry(code: str) -> Response:
        """Create or replace one entry."""
        return _put(kind, code)

    @routes.delete(f"/v1/{kind}/<code>")
    def delete_entry(code: str) -> Response:
        """Remove or retire one entry."""
        state().store.delete_entry(kind, code, expected())
        return nothing()

    return routes


def _page(kind: str) -> Response:
    store, limit, cursor = state().store, parameter("limit"), parameter("cursor")
    filters = {"retired": parameter("retired"), "text": parameter("text")}
    scope = scope_of(request.path, filters)
    after = read_cursor(store.cursor_key(), scope, cursor)[0] if cursor else None
    found = store.entries(kind, limit + 1, after, **filters)
    items = [entry.whole() for entry in found[:limit]]
    if len(found) <= limit:
        return json_answer({"items": items, "next": None})
    following = write_cursor(store.cursor_key(), scope, [found[limit - 1].code])
    link = next_link(request.path, filters, limit, following)
    return json_answer({"items": items, "next": following}, headers={"Link": link})


def _put(kind: str, code: str) -> Response:
    expect = expected(creating=True)
    document = read_body(SCHEMAS[kind])
    if document["code"] != code:
        raise refused([Fault("/code", "mismatch", "The code in the body is not the code in the address.")])
    try:
        result = state().store.put_entry(kind, code, document, expect)
    except NotFound:
        raise Problem("stale", "There is nothing here to replace; to create it, send If-None-Match: *.") from None
    whole, revision = result.entry.whole(), result.entry.revision
    return tagged(whole, revision, 201, {"Location": request.path}) if result.created else tagged(whole, revision)
