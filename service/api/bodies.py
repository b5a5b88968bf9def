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
    media_type("application/json")
    shared = state()
    return allowed(schema, read_json(request.get_data(cache=False), shared.settings.json_depth))


def allowed(schema: str, document: Any) -> Any:
    """The document, which the named schema allows; raises the 422 problem with every fault of one that it does not."""
    shared = state()
    validator = shared.spec.validator(schema)
    if validator.is_valid(document):
        return document
    faults = explained(schema, document)
    if not faults:
        shared.metrics.verdict_disagreements.labels(schema).inc()
        faults = own_errors(validator, document)
    raise refused(faults)


def media_type(*taken: str) -> str:
    """The media type of the body, one of those ``taken``; raises the 415 problem for any other."""
    kind, options = parse_options_header(request.headers.get("Content-Type"))
    encoding = request.headers.get("Content-Encoding", "identity").strip().lower()
    in_utf8 = options.get("charset", "utf-8").lower() in ("utf-8", "utf8")
    if kind.lower() not in taken or not in_utf8 or encoding not in ("", "identity"):
        detail = f"Send the body as {' or '.join(taken)} in UTF-8, without a content encoding."
        raise Problem("unsupported-media-type", detail, headers={"Accept": ", ".join(taken)})
    return kind.lower()
