"""Takeoffs: sent as a file, watched while they are worked on, and what they come to."""

from __future__ import annotations

import io
from typing import IO

from flask import Response, request

from service.api.state import state
from service.api.takeoffs.creating import received
from service.api.takeoffs.sources import Head, Lines
from service.api.takeoffs.status import status_document
from service.pages.blueprint import routes
from service.pages.lists import newest, search_text
from service.pages.rendering import page, see
from service.pages.sheet_links import takeoff_sheets
from service.store import TakeoffFilter

_NAME_LONGEST = 200
_FORM_PARTS = 20


@routes.get("/takeoffs")
def list_takeoffs() -> Response:
    """The takeoffs, the newest first, and the form to send one."""
    found = newest(lambda limit, after, name: state().store.takeoffs.listed(limit, after, TakeoffFilter(None, name)))
    return page("takeoffs.html", takeoffs=found[0], following=found[1], text=search_text(), mistake=None)


@routes.post("/takeoffs")
def send_takeoff() -> Response:
    """Receive a file of splice points, one a line, as the API receives them; what is large is read from disk."""
    request.max_content_length = state().settings.takeoff_limit
    request.max_form_parts = _FORM_PARTS
    sent = request.files.get("points")
    if sent is None or not sent.filename:
        return page("takeoffs.html", 422, takeoffs=(), following=None, text="", mistake="Choose the file to be sent.")
    name = request.form.get("name", "").strip() or sent.filename
    name = "".join(letter for letter in name if letter.isprintable())[:_NAME_LONGEST]
    stream = sent.stream
    if _blank(stream):
        mistake = "There is not a single splice point in this file."
        return page("takeoffs.html", 422, takeoffs=(), following=None, text="", mistake=mistake)
    length = stream.seek(0, io.SEEK_END)
    stream.seek(0)
    taken = received(Lines(stream, length, Head(name, {}, None, False), state().settings.body_limit), None, None)
    return see(f"/takeoffs/{taken}")


@routes.get("/takeoffs/<id>")
def read_takeoff(id: str) -> Response:
    """How far a takeoff is, and its totals when it is finished."""
    takeoff = state().store.takeoffs.get(id)
    document = status_document(takeoff)
    watched = document["state"] in ("receiving", "running")
    plot = f"/v1/takeoffs/{id}/closure-kinds.svg" if takeoff.closure_kinds_most and takeoff.chosen else None
    return page(
        "takeoff.html",
        takeoff=document,
        watched=watched and request.args.get("watch") != "no",
        at_work=watched,
        sheets=takeoff_sheets(id) if document["state"] == "finished" else (),
        plot=plot,
    )


def _blank(stream: IO[bytes]) -> bool:
    """Whether there is nothing but space in the stream, which is then at its start again."""
    blank = True
    while blank and (block := stream.read(io.DEFAULT_BUFFER_SIZE)):
        blank = not block.strip()
    stream.seek(0)
    return blank
