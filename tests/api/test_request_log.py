"""One line for each answer, and nothing of the caller's in it but the request's id."""

from __future__ import annotations

import json
import logging

import pytest

from service.app import create_app
from service.logs import JsonLines
from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient


class _Kept(logging.Handler):
    def __init__(self) -> None:
        super().__init__()
        self.setFormatter(JsonLines())
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(self.format(record))


@pytest.fixture
def lines(request: pytest.FixtureRequest) -> list[str]:
    """What is logged from here on, as lines."""
    kept, root = _Kept(), logging.getLogger("service")
    level = root.level
    root.addHandler(kept)
    root.setLevel(logging.INFO)
    request.addfinalizer(lambda: (root.removeHandler(kept), root.setLevel(level)))
    return kept.lines


def test_each_answer_is_a_line(filled: HeldClient, lines: list[str]) -> None:
    """With the request's id, the operation, its route, the status and the seconds it took."""
    filled.get("/v1/trays/nowhere", headers={"X-Request-ID": "ferrow-7"})
    told = json.loads(lines[-1])
    assert (told["message"], told["request_id"], told["operation"]) == ("answered", "ferrow-7", "getTray")
    assert (told["method"], told["route"], told["status"]) == ("GET", "/v1/trays/<code>", 404)
    assert 0 < told["seconds"] < 30


def test_nothing_that_the_caller_wrote_is_logged(
    filled: HeldClient, lines: list[str], handhole: dict[str, object]
) -> None:
    """No token, cookie, query, address or body, whether it is answered or refused."""
    headers = {"Authorization": "Bearer s3cret", "Cookie": "session=s3cret", "Idempotency-Key": "s3cret"}
    filled.post("/v1/plans?store=false", json={**handhole, "name": "s3cret"}, headers=headers)
    filled.post("/v1/plans", json={"s3cret": "s3cret"}, headers=headers)
    filled.get("/v1/trays?s3cret=s3cret", headers=headers)
    filled.get("/s3cret", headers=headers)
    assert len(lines) == 4
    assert [line for line in lines if "s3cret" in line] == []


def test_monitoring_does_not_fill_the_log(client: HeldClient, lines: list[str]) -> None:
    """Health, readiness and metrics are asked for all the time; they are logged only where they fail."""
    for path in ("/healthz", "/readyz", "/metrics"):
        assert client.get(path).status_code == 200
    assert lines == []
    client.get("/healthz?x=1")
    assert json.loads(lines[-1])["status"] == 400


def test_answers_need_not_be_logged(store: Store, lines: list[str]) -> None:
    """Where the settings say so, or a proxy in front does it."""
    create_app(Settings(log_requests=False), store).test_client().get("/v1/trays")
    assert lines == []
