"""Who the service takes the caller for."""

from __future__ import annotations

from flask import Blueprint, Response

from service.api.answers import json_answer
from service.api.state import caller
from service.documents.access import caller_to

routes = Blueprint("whoami", __name__)


@routes.get("/v1/whoami")
def read_caller() -> Response:
    """The caller's team, scopes and token."""
    return json_answer(caller_to(caller()), headers={"Cache-Control": "no-store"})
