"""One line of the log for each answer: operation, status, seconds. Of what the caller wrote it has the id alone."""

from __future__ import annotations

import logging
import time

from flask import Flask, Response, g, request

from service.api.state import State
from service.logs import facts, request_id

_log = logging.getLogger(__name__)
_WATCHING = {"getHealth", "getReadiness", "getMetrics"}
"""What monitoring asks for every few seconds; logged only where the answer is none."""


def log_requests(app: Flask, shared: State) -> None:
    """Have every line that is logged during a request bear its id, and where settings say so log each answer.

    The route is logged, not the address: that and what follows a question mark are the caller's words.
    """

    @app.teardown_request
    def _over(_error: BaseException | None) -> None:
        request_id.set("")

    if not shared.settings.log_requests:
        return

    @app.before_request
    def _begun() -> None:
        g.begun = time.perf_counter()

    @app.after_request
    def _answered(response: Response) -> Response:
        described = g.get("operation")
        name = described.id if described else None
        if name in _WATCHING and response.status_code < 400:
            return response
        told = facts(
            operation=name,
            method=request.method if request.url_rule is not None else None,
            route=None if request.url_rule is None else request.url_rule.rule,
            status=response.status_code,
            seconds=round(time.perf_counter() - g.begun, 6),
        )
        _log.info("answered", extra=told)
        return response
