"""A plan that is sent again under its key is stored once."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.app import create_app
from service.settings import Settings
from service.store import open_store
from tests.api.held_client import HeldClient

KEY = {"Idempotency-Key": "ferrow-7"}


def plans(client: HeldClient) -> int:
    """How many plans are stored."""
    return len(client.get("/v1/plans").get_json()["items"])


def test_the_same_key_and_body_give_the_same_answer(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Status, body, Location and ETag are repeated, and the answer says that it is a repetition."""
    first, again = (filled.post("/v1/plans", json=handhole, headers=KEY) for _ in range(2))
    assert (first.status_code, first.data) == (again.status_code, again.data) == (201, first.data)
    assert first.headers["Location"] == again.headers["Location"]
    assert first.headers["ETag"] == again.headers["ETag"]
    assert "Idempotent-Replayed" not in first.headers
    assert again.headers["Idempotent-Replayed"] == "true"
    assert plans(filled) == 1


def test_a_body_of_equal_value_is_the_same_body(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """A client that writes its members in another order has not sent another body."""
    filled.post("/v1/plans", json=handhole, headers=KEY)
    again = filled.post("/v1/plans", json=dict(reversed(handhole.items())), headers=KEY)
    assert again.headers["Idempotent-Replayed"] == "true"


def test_the_same_key_with_another_body_is_refused(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """422 of its own kind, and nothing is stored."""
    filled.post("/v1/plans", json=handhole, headers=KEY)
    other = filled.post("/v1/plans", json={**handhole, "name": "another"}, headers=KEY)
    assert (other.status_code, other.get_json()["type"]) == (422, "/problems/key-reused")
    assert plans(filled) == 1


def test_a_refused_request_uses_up_no_key(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """The mended body can be sent under the same key."""
    assert filled.post("/v1/plans", json={**handhole, "joints": []}, headers=KEY).status_code == 422
    assert filled.post("/v1/plans", json=handhole, headers=KEY).status_code == 201


def test_a_key_means_nothing_where_nothing_is_stored(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """With store=false the key is neither kept nor asked for."""
    assert filled.post("/v1/plans?store=false", json=handhole, headers=KEY).status_code == 200
    assert filled.post("/v1/plans", json={**handhole, "name": "another"}, headers=KEY).status_code == 201
    assert filled.post("/v1/plans?store=false", json=handhole, headers=KEY).status_code == 200


@pytest.mark.parametrize("key", ["", "a b", "é", "a" * 201, "a\x7f"])
def test_a_key_that_cannot_be_is_refused(filled: HeldClient, handhole: dict[str, Any], key: str) -> None:
    """400 names the header."""
    response = filled.post("/v1/plans", json=handhole, headers={"Idempotency-Key": key})
    assert response.status_code == 400
    assert response.get_json()["errors"][0]["parameter"] == "Idempotency-Key"


def test_a_key_whose_plan_was_removed_says_so(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """The plan is not made again behind the caller's back."""
    path = filled.post("/v1/plans", json=handhole, headers=KEY).headers["Location"]
    filled.delete(path, headers={"If-Match": "*"})
    assert filled.post("/v1/plans", json=handhole, headers=KEY).status_code == 404
    assert plans(filled) == 0


@pytest.fixture
def clocked(migrated: Path, tmp_path: Path, catalogue: dict[str, Any]) -> Iterator[tuple[HeldClient, list[datetime]]]:
    """A client of an application that reads its time from a list of one."""
    now = [datetime.now(UTC)]
    copy = tmp_path / "clocked.db"
    copy.write_bytes(migrated.read_bytes())
    store = open_store(f"sqlite:///{copy}", lambda: now[0])
    app = create_app(Settings(), store, lambda: now[0])
    app.test_client_class = HeldClient
    client = app.test_client()
    client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"})
    yield client, now
    store.close()


def test_a_key_is_kept_for_a_day(clocked: tuple[HeldClient, list[datetime]], handhole: dict[str, Any]) -> None:
    """A minute before the day is over the answer is repeated; when it is over the key is free again."""
    client, now = clocked
    client.post("/v1/plans", json=handhole, headers=KEY)
    now[0] += timedelta(hours=23, minutes=59)
    assert client.post("/v1/plans", json=handhole, headers=KEY).headers["Idempotent-Replayed"] == "true"
    now[0] += timedelta(minutes=1)
    assert "Idempotent-Replayed" not in client.post("/v1/plans", json=handhole, headers=KEY).headers
    assert plans(client) == 2


def test_twenty_at_once_make_one_plan(app: Flask, filled: HeldClient, handhole: dict[str, Any]) -> None:
    """One is answered 201; each of the others repeats it, or is told that the first still runs (409)."""
    answers: list[tuple[int, bytes]] = []
    start = threading.Barrier(20)

    def send() -> None:
        client = app.test_client()
        start.wait()
        response = client.post("/v1/plans", json=handhole, headers=KEY)
        answers.append((response.status_code, response.data if response.status_code == 201 else b""))

    threads = [threading.Thread(target=send) for _ in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {status for status, _ in answers} <= {201, 409}
    assert len({body for status, body in answers if status == 201}) == 1
    assert plans(filled) == 1


def test_who_comes_too_early_is_told_when_to_come_again(app: Flask, handhole: dict[str, Any]) -> None:
    """409 with Retry-After while the first request with the key still runs."""
    app.extensions["traywright"].keys_in_flight.add((1, KEY["Idempotency-Key"]))
    answer = app.test_client().post("/v1/plans", json=handhole, headers=KEY)
    assert (answer.status_code, answer.headers["Retry-After"]) == (409, "1")


def test_two_processes_with_one_key_make_one_plan(
    app: Flask, store: Any, filled: HeldClient, handhole: dict[str, Any]
) -> None:
    """Another application on the same database, which knows nothing of the first one's keys, repeats its answer."""
    other = create_app(Settings(), store).test_client()
    first = filled.post("/v1/plans", json=handhole, headers=KEY)
    again = other.post("/v1/plans", json=handhole, headers=KEY)
    assert (again.data, again.headers["Idempotent-Replayed"]) == (first.data, "true")
