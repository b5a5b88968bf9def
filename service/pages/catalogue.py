"""The catalogue: its sections, the entries of one, and a single entry."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Response, request
from werkzeug.exceptions import NotFound

from service.api.paging import read_cursor, scope_of, write_cursor
from service.api.state import state
from service.domain.catalogue import KINDS
from service.pages.blueprint import routes
from service.pages.rendering import page

PER_PAGE = 60
_OWN_PLACE = ("code", "title", "revision", "retired")


@routes.get("/catalogue")
def list_sections() -> Response:
    """The sections, each with how many entries can be planned with."""
    snapshot = state().store.snapshot()
    sections = [(kind, len(getattr(snapshot, kind))) for kind in KINDS]
    return page("catalogue.html", sections=sections, revision=snapshot.catalogue_revision)


@routes.get("/catalogue/<kind>")
def list_entries(kind: str) -> Response:
    """The entries of a section by code, narrowed by a part of code or title."""
    _insist(kind)
    store, text = state().store, request.args.get("text", "").strip()[:200]
    scope = scope_of(request.path, {"text": text})
    cursor = request.args.get("cursor")
    after = read_cursor(store.cursor_key(), scope, cursor)[0] if cursor else None
    found = store.entries(kind, PER_PAGE + 1, after, None, text or None)
    following = None
    if len(found) > PER_PAGE:
        found = found[:PER_PAGE]
        cursor = write_cursor(store.cursor_key(), scope, [found[-1].code])
        following = f"{request.path}?{urlencode({'text': text, 'cursor': cursor})}"
    entries = [entry.whole() for entry in found]
    return page("entries.html", kind=kind, entries=entries, text=text, following=following)


@routes.get("/catalogue/<kind>/<code>")
def read_entry(kind: str, code: str) -> Response:
    """One entry with all that it says."""
    _insist(kind)
    entry = state().store.entry(kind, code).whole()
    members = {name: value for name, value in entry.items() if name not in _OWN_PLACE}
    return page("entry.html", kind=kind, entry=entry, members=members)


def _insist(kind: str) -> None:
    if kind not in KINDS:
        raise NotFound
