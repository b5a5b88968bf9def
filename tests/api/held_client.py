"""A test client whose every answer is held against the published description."""

from __future__ import annotations

from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.api.gate import HEADERS, described_path
from service.api.state import State


class HeldClient(FlaskClient):
    """Fails the test whose request gets an answer without a safety header, or not as ``openapi.yaml`` promises."""

    def open(self, *args: Any, **kwargs: Any) -> TestResponse:
        """Send a request; the answer's status, headers, media type and body are as described."""
        response = super().open(*args, **kwargs)
        shared: State = self.application.extensions["traywright"]
        method = response.request.method
        operation = shared.spec.operations.get((_described(self.application, response), _as_get(method).lower()))
        if operation is not None:
            differs = list(shared.contract.violations(operation, response, head=method == "HEAD"))
            assert not differs, "\n".join(differs)
        elif response.status_code >= 400:
            assert response.mimetype == "application/problem+json"
        for name, value in HEADERS.items():
            # A page's own are stricter or of its kind: tests/pages.
            assert response.headers.get(name) == value or "Permissions-Policy" in response.headers, name
        return response


def _as_get(method: str) -> str:
    return "GET" if method == "HEAD" else method


def _described(app: Flask, response: TestResponse) -> str | None:
    adapter = app.url_map.bind("localhost")
    try:
        rule, _ = adapter.match(response.request.path, method=_as_get(response.request.method), return_rule=True)
    except Exception:
        return None
    return described_path(rule.rule)
