"""The service about itself: its description, its links, its problems, its health and its metrics."""

from __future__ import annotations

from html import escape

from flask import Blueprint, Response

from service import __version__
from service.api.answers import json_answer, read_answer
from service.api.metrics import Now
from service.api.problem_kinds import KINDS
from service.api.problems import Problem
from service.api.state import state
from service.store import StoreError

routes = Blueprint("about", __name__)
_LINKS = {
    "linkset": [
        {
            "anchor": "/v1",
            "service-desc": [
                {"href": "/openapi.yaml", "type": "application/yaml"},
                {"href": "/openapi.json", "type": "application/json"},
            ],
            "service-doc": [{"href": "/docs", "type": "text/html"}],
            "status": [{"href": "/readyz", "type": "application/json"}],
        }
    ]
}


@routes.get("/openapi.yaml")
def read_spec_yaml() -> Response:
    """The description as it lies in the tree."""
    spec = state().spec
    return read_answer(spec.source, spec.etag, "application/yaml")


@routes.get("/openapi.json")
def read_spec_json() -> Response:
    """The description as JSON."""
    spec = state().spec
    return read_answer(spec.json, f"{spec.etag}-json")


@routes.get("/.well-known/api-catalog")
def read_api_catalog() -> Response:
    """The link set of RFC 9727."""
    media_type = 'application/linkset+json; profile="https://www.rfc-editor.org/info/rfc9727"'
    return json_answer(_LINKS, headers={"Link": '</.well-known/api-catalog>; rel="api-catalog"'}, media_type=media_type)


@routes.get("/problems/<slug>")
def read_problem_page(slug: str) -> Response:
    """What a kind of problem means."""
    kind = KINDS.get(slug)
    if kind is None:
        raise Problem("not-found", "There is no kind of problem of this name.")
    page = (
        '<!doctype html>\n<html lang="en">\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(kind.title)}</title>\n<main>\n<h1>{escape(kind.title)}</h1>\n"
        f"<p>{escape(kind.explanation)}</p>\n<p>Status: {kind.status}</p>\n</main>\n</html>\n"
    )
    return Response(page, content_type="text/html; charset=utf-8")


@routes.get("/healthz")
def read_health() -> Response:
    """The server lives, and is of this version."""
    return json_answer({"status": "ok", "version": __version__}, headers={"Cache-Control": "no-store"})


@routes.get("/readyz")
def read_readiness() -> Response:
    """The database can be used and has this version's schema."""
    state().root.catalogue_revision()
    return json_answer({"status": "ready"}, headers={"Cache-Control": "no-store"})


@routes.get("/metrics")
def read_metrics() -> Response:
    """What was counted, and what the database says of queue and webhooks; also where it says nothing."""
    metrics, root = state().metrics, state().root
    try:
        now = Now(root.takeoffs.work.queue(), root.webhooks.work.standing())
    except StoreError:
        now = None
    return Response(metrics.text(now), content_type=metrics.media_type, headers={"Cache-Control": "no-store"})
