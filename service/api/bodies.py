"""Reading the body of a request: its media type, its size, strict JSON, and the published schema."""

from __future__ import annotations

from typing import Any

from flask import request
from werkzeug.http import parse_options_header

from service.api.explaining import explained, own_errors
from service.api.problems import Problem, refused
from service.api.state import state
from service.api.strict_json import read_json


def read_body(schema: str) -> Any:
    """The body as a document that the named schema allows.

    Raises the problems 413, 415, 422, and ``MalformedJson``. The compiled schema has the verdict; only what it
    refuses is explained.
    """
    _check_media_type()
    shared = state()
    document = read_json(request.get_data(cache=False), shared.settings.json_depth)
    validator = shared.spec.validator(schema)
    if validator.is_valid(document):
        return document
    faults = explained(schema, document)
    if not faults:
        shared.metrics.verdict_disagreements.labels(schema).inc()
        faults = own_errors(validator, document)
    raise refused(faults)


def _check_media_type() -> None:
    kind, options = parse_options_header(request.headers.get("Content-Type"))
    encoding = request.headers.get("Content-Encoding", "identity").strip().lower()
    in_utf8 = options.get("charset", "utf-8").lower() in ("utf-8", "utf8")
    if kind.lower() != "application/json" or not in_utf8 or encoding not in ("", "identity"):
        detail = "Send the body as application/json in UTF-8, without a content encoding."
        raise Problem("unsupported-media-type", detail, headers={"Accept": "application/json"})
