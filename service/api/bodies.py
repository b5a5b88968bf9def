"""Reading the body of a request: its media type, its packing, its size, strict JSON, and the published schema."""

from __future__ import annotations

from typing import IO, Any, cast

from flask import request
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.http import parse_options_header

from service.api.explaining import explained, own_errors
from service.api.packed import Unpacked
from service.api.problems import Problem, refused
from service.api.state import state
from service.api.strict_json import read_json


def read_body(schema: str) -> Any:
    """The body as a document that the named schema allows.

    Raises the problems 400, 413, 415, 422, and ``MalformedJson``. The compiled schema has the verdict; only what it
    refuses is explained.
    """
    media_type("application/json")
    shared = state()
    return allowed(schema, read_json(body_bytes(), shared.settings.json_depth))


def allowed(schema: str, document: Any) -> Any:
    """The document, which the named schema and the operator's limits allow; raises the 422 problem with every fault."""
    shared = state()
    validator = shared.spec.validator(schema)
    if validator.is_valid(document):
        beyond = shared.narrower.faults(document) if shared.narrower else ()
        if beyond:
            raise refused(beyond)
        return document
    faults = explained(schema, document)
    if not faults:
        shared.metrics.verdict_disagreements.labels(schema).inc()
        faults = own_errors(validator, document)
    raise refused(faults)


def body_bytes() -> bytes:
    """The body, unpacked; raises the 400 problem where that cannot be done and 413 where it is too large."""
    if is_packed():
        return body_stream().read()
    body = request.get_data(cache=False)
    if request.content_length is None and body and request.environ["wsgi.input"].read(1):
        # What came in chunks was read as far as the limit; that there is more, nobody else looks.
        raise RequestEntityTooLarge
    return body


def body_stream() -> IO[bytes]:
    """The body, to be read once, unpacked while it is read; reading raises as ``body_bytes`` does."""
    if not is_packed():
        return request.stream
    most = request.max_content_length
    assert most is not None, "the application sets a limit for every body"
    return cast(IO[bytes], Unpacked(request.stream, request.content_length, most))


def is_packed() -> bool:
    """Whether the body says that it is packed, in the way that is taken here."""
    return bool(_codings())


def media_type(*taken: str) -> str:
    """The media type of the body, one of those ``taken``; raises the 415 problem for any other, or another coding.

    What is taken instead is told by ``Accept`` or ``Accept-Encoding``, whichever it is about (RFC 9110, sections 12.5.3
    and 15.5.16).
    """
    kind, options = parse_options_header(request.headers.get("Content-Type"))
    in_utf8 = options.get("charset", "utf-8").lower() in ("utf-8", "utf8")
    if kind.lower() not in taken or not in_utf8:
        detail = f"Send the body as {' or '.join(taken)} in UTF-8."
        raise Problem("unsupported-media-type", detail, headers={"Accept": ", ".join(taken)})
    if _codings() not in ([], ["gzip"], ["x-gzip"]):
        detail = "Send the body as it is, or packed with gzip once."
        raise Problem("unsupported-media-type", detail, headers={"Accept-Encoding": "gzip"})
    return kind.lower()


def _codings() -> list[str]:
    """The content codings that the body is said to have, without those that change nothing."""
    codings = request.headers.get("Content-Encoding", "").lower().split(",")
    return [coding for coding in map(str.strip, codings) if coding not in ("", "identity")]
