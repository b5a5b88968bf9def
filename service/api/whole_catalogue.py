"""The whole catalogue as one document."""

from __future__ import annotations

from dataclasses import asdict

from flask import Blueprint, Response

from service.api.answers import read_answer, tagged
from service.api.bodies import read_body
from service.api.preconditions import expected
from service.api.state import state

routes = Blueprint("catalogue", __name__)


@routes.get("/v1/catalogue")
def read_catalogue() -> Response:
    """Every entry of every section."""
    document, revision = state().store.catalogue_document()
    return read_answer(document, revision)


@routes.put("/v1/catalogue")
def put_catalogue() -> Response:
    """Replace all of it, or nothing."""
    expect = expected(creating=True)
    change = state().store.put_catalogue(read_body("Catalogue"), expect)
    return tagged(asdict(change), change.revision)
