"""Every status that the description promises for an operation on takeoffs is seen, and is as described."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from service.api.importing.tables import CSV, XLSX
from service.api.spec import Operation, load_spec
from service.app import create_app
from service.settings import Settings
from service.store import Store
from tests.api.files import GEOJSON, points_csv, points_map, points_workbook
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import LINES, finished, lines, sent

SPEC = load_spec()
OPERATIONS = [operation for operation in SPEC.operations.values() if operation.path.startswith("/v1/takeoffs")]
PAIRS = [
    pytest.param(operation, int(status), id=f"{operation.id}-{status}")
    for operation in OPERATIONS
    for status in operation.node["responses"]
    if status not in ("default", "401", "403", "429", "503")
]
ABSENT = "0" * 32
MADE: dict[str, tuple[str, Callable[[list[Any]], bytes]]] = {
    "createTakeoffFromCsv": (CSV, points_csv),
    "createTakeoffFromWorkbook": (XLSX, points_workbook),
    "createTakeoffFromMap": (GEOJSON, points_map),
}
"""What takes a file: its kind, and what makes one of splice points."""


class Scene:
    """A takeoff that is finished and one that waits, and an operation's requests that go right and wrong."""

    def __init__(self, app: Flask, client: HeldClient, store: Store, operation: Operation, point: Any) -> None:
        self.app, self.client, self.operation, self.point = app, client, operation, point
        self.done = finished(client, store, [point], "?closure_kinds=1")
        self.waiting: str = sent(client, [point], "?closure_kinds=1").get_json()["id"]

    def path(self, id: str | None = None) -> str:
        """The operation's path, for the finished takeoff unless told otherwise."""
        return self.operation.path.replace("{id}", id or self.done).replace("{place}", "1")

    def send(self, path: str | None = None, body: bytes | None = None, **headers: str) -> TestResponse:
        """Send the operation's request."""
        sent: dict[str, Any] = {}
        if self.operation.method == "post":
            kind, made = MADE.get(self.operation.id, (LINES, lines))
            sent = {"data": made([self.point]) if body is None else body, "content_type": kind}
        if self.operation.method == "delete" and "If-Match" not in headers:
            headers["If-Match"] = "*"
        sent["headers"] = {name: value for name, value in headers.items() if value}
        return self.client.open(path or self.path(), method=self.operation.method.upper(), **sent)


def answered(scene: Scene, status: int) -> TestResponse:
    """Send what ends in this status."""
    if status == 304:
        return scene.send(**{"If-None-Match": scene.send().headers["ETag"]})
    if status == 400:
        return scene.send(f"{scene.path()}?colour=blue")
    if status == 404:
        return scene.send(scene.path(ABSENT))
    if status == 406:
        return scene.send(Accept="image/png")
    if status == 409 and scene.operation.method == "post":
        scene.app.extensions["traywright"].keys_in_flight.add((1, "held"))
        return scene.send(**{"Idempotency-Key": "held"})
    if status == 409 and scene.operation.method == "delete":
        assert scene.client.post("/v1/orders", json={"takeoffs": [scene.done]}).status_code == 201
        return scene.send()
    if status == 409:
        return scene.send(scene.path(scene.waiting))
    if status == 412:
        return scene.send(**{"If-Match": '"999"'})
    if status == 413:
        if scene.operation.id in MADE:
            return scene.send(body=b"x" * (16 * Settings().body_limit + 1))
        return scene.client.post(scene.path(), json={"name": "x" * 9 * Settings().body_limit})
    if status == 415:
        return scene.client.post(scene.path(), data=b"x", content_type="text/plain")
    if status == 422:
        return scene.send(body=b"{}" if scene.operation.id == "createTakeoffFromMap" else b"\n")
    return scene.send(**({"If-Match": ""} if status == 428 else {}))


@pytest.mark.parametrize(("operation", "status"), PAIRS)
def test_a_promised_answer_is_seen(
    operation: Operation, status: int, app: Flask, filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """The client of this test holds every answer against the description."""
    response = answered(Scene(app, filled, store, operation, handhole), status)
    assert response.status_code == status, response.get_data(as_text=True)


@pytest.mark.parametrize("operation", [pytest.param(each, id=each.id) for each in OPERATIONS])
def test_a_database_that_is_gone_is_told_without_saying_how(operation: Operation, tmp_path: Path) -> None:
    """503 with Retry-After, and nothing of the inside."""
    app = create_app(Settings(database=f"sqlite:///{tmp_path}/absent/store.db"))
    app.test_client_class = HeldClient
    path = operation.path.replace("{id}", ABSENT).replace("{place}", "1")
    sent: dict[str, Any] = {"data": b"{}", "content_type": LINES} if operation.method == "post" else {}
    response = app.test_client().open(path, method=operation.method.upper(), headers={"If-Match": "*"}, **sent)
    assert response.status_code == 503 and response.headers["Retry-After"]
    assert str(tmp_path) not in response.get_data(as_text=True)
