"""The first page: will it fit, and where the rest is."""

from __future__ import annotations

from flask import Response

from service.api.state import state
from service.pages.blueprint import routes
from service.pages.rendering import page


@routes.get("/")
def read_start() -> Response:
    """The start."""
    return page("start.html", plans=state().store.plans(3), empty=not state().store.snapshot().closures)
