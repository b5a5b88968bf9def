"""Every error as a problem document. Nothing of the inside is said; what is unexpected is logged whole."""

from __future__ import annotations

import logging
from urllib.parse import quote

import orjson
from flask import Flask, Response, g, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed, RequestEntityTooLarge

from service.api.problem_kinds import KINDS
from service.api.problems import Problem
from service.api.refusals import WORTH_A_LOG, problem_of
from service.api.state import state

_log = logging.getLogger(__name__)
_LONGEST_PATH = 400
_BY_STATUS = {404: "not-found", 415: "unsupported-media-type", 503: "unavailable"}


def tell_errors(app: Flask) -> None:
    """Answer every exception as a problem document."""
    app.register_error_handler(Problem, _answer)
    app.register_error_handler(HTTPException, _of_http)
    app.register_error_handler(Exception, _of_any)


def _answer(problem: Problem) -> Response:
    body = orjson.dumps(problem.document(_instance()))
    response = Response(body, problem.status, content_type="application/problem+json")
    response.headers.update(problem.headers)
    return response


def _instance() -> str:
    path = quote(request.path, safe="/-._~")
    return f"{path if len(path) <= _LONGEST_PATH else ''}#request-{g.request_id}"


def _of_http(error: HTTPException) -> Response:
    return _answer(http_problem(error))


def http_problem(error: HTTPException) -> Problem:
    """The problem that an error of the framework is told as."""
    if isinstance(error, MethodNotAllowed):
        allowed = ", ".join(sorted(error.valid_methods or ()))
        return Problem("method-not-allowed", f"This address takes {allowed}.", headers={"Allow": allowed})
    if isinstance(error, RequestEntityTooLarge):
        most = request.max_content_length or state().settings.body_limit
        return Problem("too-large", f"A body has at most {most} bytes here.")
    status = error.code or 500
    slug = _BY_STATUS.get(status, "bad-request" if status < 500 else "internal")
    return Problem(slug, KINDS[slug].explanation, status=status)


def _of_any(error: Exception) -> Response:
    return _answer(any_problem(error))


def any_problem(error: Exception) -> Problem:
    """The problem that any other exception is told as; what the operator should know of is logged."""
    problem = problem_of(error)
    if problem is None:
        _log.error("request %s failed", g.request_id, exc_info=error)
        problem = Problem("internal", "The fault is ours. It was logged under the id of this request.")
    elif isinstance(error, WORTH_A_LOG):
        _log.error("request %s: %s", g.request_id, error)
    return problem
