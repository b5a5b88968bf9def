"""Every operation that needs a scope, asked for by those who do not have it and by one who has nothing else."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from service.api.access.failed_attempts import MOST
from service.api.spec import Operation, load_spec
from service.domain.access import SCOPES
from tests.api.held_client import HeldClient
from tests.api.tokens import bearer

SPEC = load_spec()
GUARDED = [pytest.param(operation, id=operation.id) for operation in SPEC.operations.values() if operation.scope]
ELSEWHERE = {"REMOTE_ADDR": "192.0.2.7"}
UNKNOWN = {"Authorization": f"Bearer tw_{'0' * 32}_{'a' * 43}"}


def asked(client: HeldClient, operation: Operation, headers: dict[str, str] | None = None) -> TestResponse:
    """The answer to a request for the operation from another machine, about what is not there."""
    path = operation.path.replace("{id}", "0" * 32).replace("{code}", "absent").replace("{place}", "1")
    sent: dict[str, Any] = {"json": {}} if operation.method in ("post", "put") else {}
    method = operation.method.upper()
    return client.open(path, method=method, headers=headers or {}, environ_base=ELSEWHERE, **sent)


@pytest.mark.parametrize("operation", GUARDED)
def test_nobody_is_let_in_without_a_token(operation: Operation, app: Flask, client: HeldClient) -> None:
    """401 with a challenge that names no error, since nothing was tried."""
    bearer(app, "admin")
    response = asked(client, operation)
    assert response.status_code == 401
    assert response.headers["WWW-Authenticate"] == 'Bearer realm="traywright"'


@pytest.mark.parametrize("operation", GUARDED)
def test_a_token_without_the_scope_is_told_which_one_is_missing(
    operation: Operation, app: Flask, client: HeldClient
) -> None:
    """403 for a token that has every other scope but ``admin``, naming the scope in the challenge and the detail."""
    others = [scope for scope in SCOPES if scope not in ("admin", operation.scope)]
    response = asked(client, operation, bearer(app, *others))
    assert response.status_code == 403
    assert f'error="insufficient_scope", scope="{operation.scope}"' in response.headers["WWW-Authenticate"]
    assert response.get_json()["detail"] == f"This needs the scope {operation.scope}."


@pytest.mark.parametrize("operation", GUARDED)
def test_the_scope_and_an_administrator_are_let_in(operation: Operation, app: Flask, client: HeldClient) -> None:
    """With that scope alone, or ``admin`` alone, the request gets past the gate, whatever becomes of it."""
    assert operation.scope is not None
    for scope in (operation.scope, "admin"):
        assert asked(client, operation, bearer(app, scope)).status_code not in (401, 403, 429)


@pytest.mark.parametrize("operation", GUARDED)
def test_an_address_that_fails_again_and_again_has_to_wait(
    operation: Operation, app: Flask, client: HeldClient
) -> None:
    """After so many unknown tokens 429 says for how long."""
    bearer(app, "admin")
    for _ in range(MOST):
        response = asked(client, operation, UNKNOWN)
        assert response.status_code == 401
        assert 'error="invalid_token"' in response.headers["WWW-Authenticate"]
    response = asked(client, operation, UNKNOWN)
    assert response.status_code == 429
    assert 0 < int(response.headers["Retry-After"]) <= 60
