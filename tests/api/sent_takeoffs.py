"""Takeoffs sent in tests over HTTP, and worked on in the test's own process."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import orjson
from werkzeug.test import TestResponse

from service.building.demand_work import demand_work
from service.building.worker import Worker
from service.store import Store
from tests.api.held_client import HeldClient

LINES = "application/x-ndjson"


def lines(points: Iterable[Any]) -> bytes:
    """Splice points as lines; bytes are taken as they are."""
    return b"\n".join(point if isinstance(point, bytes) else orjson.dumps(point) for point in points)


def sent(client: HeldClient, points: Iterable[Any], query: str = "", key: str | None = None) -> TestResponse:
    """Send splice points as lines."""
    headers = {} if key is None else {"Idempotency-Key": key}
    return client.post(f"/v1/takeoffs{query}", data=lines(points), content_type=LINES, headers=headers)


def work(store: Store, chunks: int | None = None) -> None:
    """Work on everything that waits, or on so many chunks."""
    worker = Worker(store, demand_work(), "test", lambda _: False)
    while (chunks is None or chunks > 0) and worker.take():
        chunks = None if chunks is None else chunks - 1


def finished(client: HeldClient, store: Store, points: Iterable[Any], query: str = "") -> str:
    """The id of a takeoff of these splice points that has been worked on to its end."""
    answer = sent(client, points, query)
    assert answer.status_code == 202, answer.get_data(as_text=True)
    work(store)
    id: str = answer.get_json()["id"]
    assert client.get(f"/v1/takeoffs/{id}").get_json()["state"] == "finished"
    return id
