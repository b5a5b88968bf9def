"""Installations: list them, read one, say where it hangs, remove it, read its visits."""

from __future__ import annotations

from flask import Blueprint, Response, request

from service.api.answers import json_answer, nothing, read_answer, tagged
from service.api.bodies import read_body
from service.api.installations.answering import expected_installation, told
from service.api.installations.places import insist_on_both_coordinates, near_from
from service.api.newest_first import newest_first
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.state import parameter, state
from service.documents.installation import summary_to
from service.documents.visit_request import place_from
from service.documents.visits import visit_to
from service.store import InstallationFilter

routes = Blueprint("installations", __name__)


@routes.get("/v1/installations")
def read_list() -> Response:
    """A page of the installations, the newest first."""
    filters = {name: parameter(name) for name in ("name", "closure", "near", "within_km")}
    near = near_from(filters["near"], filters["within_km"])
    which = InstallationFilter(filters["name"], filters["closure"], near)
    store = state().store.installations
    return newest_first(filters, lambda limit, after: store.listed(limit, after, which), summary_to)


@routes.get("/v1/installations/<id>")
def read_installation(id: str) -> Response:
    """One installation as it stands."""
    return read_answer(*told(state().store.installations.get(id)))


@routes.put("/v1/installations/<id>")
def put_installation(id: str) -> Response:
    """Say where an installation hangs."""
    expect = expected_installation()
    document = read_body("InstallationPlace")
    insist_on_both_coordinates(document)
    return tagged(*told(state().store.installations.rename(id, place_from(document), expect)))


@routes.delete("/v1/installations/<id>")
def delete_installation(id: str) -> Response:
    """Remove an installation with its visits."""
    state().store.installations.delete(id, expected_installation())
    return nothing()


@routes.get("/v1/installations/<id>/visits")
def read_visits(id: str) -> Response:
    """A page of its visits, the newest first."""
    store, limit, cursor = state().store, parameter("limit"), parameter("cursor")
    scope = scope_of(request.path, {})
    before = int(read_cursor(store.cursor_key(), scope, cursor)[0]) if cursor else None
    found = store.installations.visits(id, limit + 1, before)
    items = [visit_to(visit) for visit in found[:limit]]
    if len(found) <= limit:
        return json_answer({"items": items, "next": None})
    following = write_cursor(store.cursor_key(), scope, [str(found[limit - 1].number)])
    link = next_link(request.path, {}, limit, following)
    return json_answer({"items": items, "next": following}, headers={"Link": link})
