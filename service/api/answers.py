"""Answers in JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson
from flask import Response

from service.api.preconditions import has_already, tag


def json_answer(
    document: Any, status: int = 200, headers: Mapping[str, str] | None = None, media_type: str = "application/json"
) -> Response:
    """A document, or its bytes, as an answer."""
    body = document if isinstance(document, bytes) else orjson.dumps(document)
    return Response(body, status, headers, content_type=media_type)


def tagged(document: Any, revision: int | str, status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """An answer with its revision as ETag."""
    return json_answer(document, status, {**(headers or {}), "ETag": tag(revision)})


def read_answer(document: Any, revision: int | str, content_type: str = "application/json") -> Response:
    """An answer to GET with its revision as ETag; 304 where the caller has that revision already."""
    current = tag(revision)
    if has_already(current):
        return Response(status=304, headers={"ETag": current})
    return json_answer(document, 200, {"ETag": current}, content_type)


def nothing() -> Response:
    """The answer where there is nothing left to say."""
    answer = Response(status=204)
    del answer.headers["Content-Type"]
    return answer
