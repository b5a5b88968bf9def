"""What happens to every request before it is handled, and to every answer before it leaves."""

from __future__ import annotations

import logging
import re
import uuid
from collections import defaultdict
from itertools import count
from urllib.parse import unquote_to_bytes

from flask import Flask, Response, g, request

from service.api.access.asking import enter, is_nearby, let_in
from service.api.negotiation import chosen
from service.api.parameters import checked
from service.api.problems import Problem
from service.api.rate.counting import count_request, standing_headers
from service.api.state import State, operation
from service.logs import request_id as logged_id

_log = logging.getLogger(__name__)
_REQUEST_ID = re.compile(r"[A-Za-z0-9._-]{1,128}\Z")
_PLACE = re.compile(r"<(?:[a-z]+:)?([a-z_]+)>")
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
}
"""Headers that every answer has: a browser is to do nothing with it that was not meant."""


def described_path(rule: str) -> str:
    """A route as the description writes it: ``/v1/trays/<code>`` is ``/v1/trays/{code}``."""
    return _PLACE.sub(r"{\1}", rule)


def guard(app: Flask, shared: State) -> None:
    """Put every request through the gate: its id, its operation, who asks, Accept and parameters; then every answer."""
    by_rule = {
        (rule.rule, method): shared.spec.operations.get((described_path(rule.rule), method.lower()))
        for rule in app.url_map.iter_rules()
        for method in rule.methods or ()
    }

    turns: defaultdict[str, count[int]] = defaultdict(count)

    @app.before_request
    def _in() -> None:
        sent = request.headers.get("X-Request-ID", "")
        g.request_id = sent if _REQUEST_ID.match(sent) else uuid.uuid4().hex
        logged_id.set(g.request_id)
        if request.url_rule is None:
            count_request()
            return
        method = "GET" if request.method == "HEAD" else request.method
        g.operation = by_rule.get((request.url_rule.rule, method))
        if g.operation is None:
            # Pages are counted when it is known who asks for them.
            return
        if g.operation.scope is not None and not (g.operation.open_nearby and is_nearby()):
            enter(let_in(shared.door, g.operation.scope))
        count_request()
        _check_accept(g.operation.media_types)
        _insist_on_text(request.query_string)
        g.parameters = checked(g.operation, request.view_args or {}, request.args, request.headers)

    @app.after_request
    def _out(response: Response) -> Response:
        response.headers["X-Request-ID"] = g.request_id
        response.headers.update(standing_headers())
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        response.headers.setdefault("Cache-Control", "no-store" if response.status_code >= 400 else "no-cache")
        described = operation()
        if described is not None and described.media_types:
            response.headers.setdefault("Vary", "Accept")
        name = described.id if described else "none"
        shared.metrics.requests.labels(name, response.status_code).inc()
        if described is not None and shared.settings.check_answers:
            turn = next(turns[described.id])
            # What is read while it is sent cannot be looked at beforehand.
            if not response.is_streamed and (response.status_code >= 400 or turn % shared.settings.check_every == 0):
                _hold_against(response, shared)
        return response


def _insist_on_text(query: bytes) -> None:
    """Refuse a query that is no UTF-8 when it is unpacked: something else than was sent would be read in its place."""
    try:
        unquote_to_bytes(query).decode()
    except UnicodeDecodeError:
        raise Problem("bad-request", "The query is not UTF-8 when its percent signs are read.") from None


def _check_accept(media_types: tuple[str, ...]) -> None:
    if media_types and chosen(request.headers.get("Accept"), media_types) is None:
        raise Problem("not-acceptable", f"This can be answered as {' or '.join(media_types)}.")


def _hold_against(response: Response, shared: State) -> None:
    """Count and log in what the answer differs from the description. Never fails the answer."""
    described = operation()
    if described is None:
        return
    try:
        for violation in shared.contract.violations(described, response, head=request.method == "HEAD"):
            shared.metrics.contract_violations.labels(described.id).inc()
            _log.error("answer %s differs from the description: %s", g.request_id, violation)
    except Exception:
        shared.metrics.contract_violations.labels(described.id).inc()
        _log.exception("answer %s could not be held against the description", g.request_id)
