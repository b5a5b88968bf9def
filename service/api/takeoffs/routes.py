"""Takeoffs: send one, list them, see how far one is, cancel or remove it."""

from __future__ import annotations

from flask import Blueprint, Response

from service.api.answers import nothing, read_answer
from service.api.newest_first import newest_first
from service.api.preconditions import expected
from service.api.state import parameter, state
from service.api.takeoffs.creating import receive_takeoff, sent_source
from service.api.takeoffs.status import state_of, status_document, status_revision
from service.documents.takeoff import takeoff_to
from service.store import Revision, Stale, TakeoffFilter

routes = Blueprint("takeoffs", __name__)
_AT_WORK = ("receiving", "running")


@routes.post("/v1/takeoffs")
def create_takeoff() -> Response:
    """Receive a takeoff, and let the work on it begin."""
    return receive_takeoff(sent_source())


@routes.get("/v1/takeoffs")
def read_list() -> Response:
    """A page of the takeoffs, the newest first."""
    filters = {"state": parameter("state"), "name": parameter("name")}
    which = TakeoffFilter(**filters)
    return newest_first(filters, lambda limit, after: state().store.takeoffs.listed(limit, after, which), takeoff_to)


@routes.get("/v1/takeoffs/<id>")
def read_takeoff(id: str) -> Response:
    """How far a takeoff is, and its totals when it is finished."""
    takeoff = state().store.takeoffs.get(id)
    return read_answer(status_document(takeoff), status_revision(takeoff))


@routes.delete("/v1/takeoffs/<id>")
def delete_takeoff(id: str) -> Response:
    """Cancel a takeoff that is at work, or remove one that has ended."""
    expect = expected()
    takeoffs = state().store.takeoffs
    takeoff = takeoffs.get(id)
    if isinstance(expect, Revision):
        states = [state_of(number) for number in (expect.number, *expect.others)]
        if takeoff.state not in states and not (takeoff.state in _AT_WORK and set(states) & set(_AT_WORK)):
            raise Stale(f"The takeoff is {takeoff.state} by now.", status_revision(takeoff))
    if takeoff.state not in _AT_WORK:
        takeoffs.delete(id)
    elif not takeoffs.cancel(id):
        # It has ended since it was looked at: what was to be cancelled is not removed instead.
        raise Stale("The takeoff has ended in this moment.", status_revision(takeoffs.get(id)))
    return nothing()
