"""Where the stylesheet, the script and the mark are fetched from."""

from __future__ import annotations

from flask import Response, request
from werkzeug.exceptions import NotFound

from service.pages.assets import BY_PATH
from service.pages.blueprint import routes


@routes.get("/assets/<name>")
def read_asset(name: str) -> Response:
    """One of them, to be kept for a year: other content has another path."""
    asset = BY_PATH.get(request.path)
    if asset is None:
        raise NotFound
    kept = {"Cache-Control": "public, max-age=31536000, immutable"}
    return Response(asset.content, 200, kept, content_type=asset.content_type)
