"""Every operation that is counted, asked for once too often."""

from __future__ import annotations

import pytest

from service.api.rate.counting import NOT_COUNTED
from service.api.spec import Operation, load_spec
from service.app import create_app
from service.settings import Rate, Settings
from service.store import Store
from tests.api.held_client import HeldClient

SPEC = load_spec()
OPERATIONS = [pytest.param(each, id=each.id) for each in SPEC.operations.values() if each.path not in NOT_COUNTED]


def test_what_is_not_counted_is_described_without_it() -> None:
    """Health, readiness and metrics exist, and the first two describe no 429."""
    for path in NOT_COUNTED:
        responses = SPEC.operations[path, "get"].node["responses"]
        assert "429" not in responses or path == "/metrics"


@pytest.mark.parametrize("operation", OPERATIONS)
def test_one_request_too_many_is_told_as_described(operation: Operation, store: Store) -> None:
    """429 is described with Retry-After and both fields, and is what the second request of a share of one gets."""
    headers = SPEC.resolved(operation.node["responses"]["429"])["headers"]
    assert {"Retry-After", "RateLimit", "RateLimit-Policy"} <= set(headers)
    app = create_app(Settings(rate_limit=Rate(1, 3600)), store)
    app.test_client_class = HeldClient
    client = app.test_client()
    path = operation.path.replace("{id}", "0" * 32).replace("{code}", "absent").replace("{place}", "1")
    path = path.replace("{slug}", "stale")
    assert client.open(path, method=operation.method.upper()).status_code != 429
    refused = client.open(path, method=operation.method.upper())
    assert refused.status_code == 429
    assert refused.get_json()["type"] == "/problems/quota-exceeded"
    assert refused.headers["RateLimit"].startswith('"requests";r=0;t=')
