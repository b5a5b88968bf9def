"""Every status that the description promises for an operation is seen, and is as described."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import orjson
import pytest
from flask import Flask
from werkzeug.test import TestResponse

from service.api.importing.tables import CSV, XLSX
from service.api.spec import Operation, load_spec
from service.app import create_app
from service.settings import Settings
from tests.api.held_client import HeldClient
from tests.api.hung import DROP
from tests.api.tokens import bearer

SPEC = load_spec()
NOT_LET_IN = ("401", "403", "429")
PAIRS = [
    pytest.param(operation, int(status), id=f"{operation.id}-{status}")
    for operation in SPEC.operations.values()
    for status in operation.node["responses"]
    # Takeoffs are sent as lines and are worked on before they can be read: they have a module of their own.
    # Who is not let in has one too.
    if status not in ("default", *NOT_LET_IN) and not operation.path.startswith("/v1/takeoffs")
]
CODES = {
    "sleeves": "ss-1", "trays": "ribbon-12", "closures": "dome-48", "cables": "drop-24",
    "methods": "flat-12", "materials": "oval-seal", "stock": "rs-12", "orders": "rs-12",
}  # fmt: skip

SAID_OF_A_VISIT: dict[str, dict[str, Any]] = {
    "putInstallation": {"name": "Handhole 7a"},
    "createAddition": DROP,
    "removeSplices": {"splices": [1]},
    "abandonCable": {"cable": "C"},
    "recordSplices": {"records": [{"splice": 1, "remakes": 0}]},
}
"""What can be sent of the handhole's closure."""


FILES = {"importCatalogueWorkbook": XLSX, "importCatalogueCsv": CSV}
"""What takes a file and no JSON, and the file's kind."""

SECTION = dict.fromkeys(("getCatalogueTemplateCsv", "getCatalogueCsv", "importCatalogueCsv"), "?section=sleeves")
"""What a section of the catalogue has to be told to."""


def kind_of(operation: Operation) -> str:
    """The section of the catalogue that an operation is about, or some other part of its path."""
    return operation.path.removeprefix("/v1/").split("/")[0]


# A public address in figures, so that nothing is looked up; nothing is sent either, since nobody tells.
WEBHOOK = {"url": "https://1.1.1.1/told", "events": ["order.placed"]}


class Scene:
    """A client with the small catalogue and one stored plan, and requests that go wrong on purpose."""

    def __init__(self, app: Flask, client: HeldClient, operation: Operation, handhole: dict[str, Any]) -> None:
        self.app, self.client, self.operation, self.handhole = app, client, operation, handhole
        made = client.post("/v1/plans", json=handhole, headers={"Idempotency-Key": "scene"})
        self.places = {"{id}": made.get_json()["id"], "{code}": CODES.get(kind_of(operation), "none")}
        self.places["{slug}"] = "stale"
        if kind_of(operation) in ("orders", "stock"):
            self.plan = self.places["{id}"]
            self.places["{id}"] = self._ordered()
        if kind_of(operation) == "tokens":
            self.client = self._administered(client)
        if kind_of(operation) == "webhooks":
            made = client.post("/v1/webhooks", json=WEBHOOK).get_json()["id"]
            sent = client.post(f"/v1/webhooks/{made}/tries").get_json()["id"]
            self.places |= {"{id}": made, "{delivery}": sent}
        if kind_of(operation) == "installations":
            self.plan = self.places["{id}"]
            if "{id}" in operation.path:
                hung = client.post("/v1/installations", json={"plan": self.plan})
                self.places["{id}"] = hung.get_json()["id"]

    def _administered(self, client: HeldClient) -> HeldClient:
        """The client with an administrator's token, which it needs as soon as there is one."""
        client.environ_base["HTTP_AUTHORIZATION"] = bearer(self.app, "admin")["Authorization"]
        made = client.post("/v1/tokens", json={"name": "Crew", "scopes": ["read"]})
        self.places["{id}"] = made.get_json()["id"]
        return client

    def _ordered(self) -> str:
        """The id of an order from the stored plan, which holds sleeves of the stock."""
        first = {"If-None-Match": "*"}
        assert self.client.put("/v1/stock/rs-12", json={"on_hand": 10}, headers=first).status_code == 201
        id: str = self.client.post("/v1/orders", json={"plans": [self.plan]}).get_json()["id"]
        return id

    def path(self, **other: str) -> str:
        """The operation's path, its places filled with what exists unless told otherwise."""
        path = self.operation.path + SECTION.get(self.operation.id, "")
        for place, value in {**self.places, **{f"{{{name}}}": value for name, value in other.items()}}.items():
            path = path.replace(place, value)
        return path

    def body(self) -> Any:
        """A body that the operation takes."""
        if "requestBody" not in self.operation.node:
            return None
        if self.operation.path in ("/v1/plans", "/v1/fit-checks"):
            return deepcopy(self.handhole)
        if self.operation.path == "/v1/orders":
            return {"plans": [self.plan], "again": True}
        if self.operation.id == "createToken":
            return {"name": "Crew", "scopes": ["read"]}
        if self.operation.path.startswith("/v1/webhooks"):
            return deepcopy(WEBHOOK)
        if self.operation.id == "putOrderState":
            return {"state": "placed"}
        if self.operation.id == "hangClosure":
            return {"plan": self.plan}
        if self.operation.id == "recordVisit":
            return {"plan": self.client.post(f"{self.path()[:-7]}/additions", json=DROP).get_json()["id"]}
        if self.operation.id in SAID_OF_A_VISIT:
            return deepcopy(SAID_OF_A_VISIT[self.operation.id])
        document = self.client.get(self.path()).get_json()
        return document

    def current(self) -> dict[str, str]:
        """The precondition that holds now, where the operation asks for one."""
        if self.operation.method not in ("put", "delete"):
            return {}
        return {"If-Match": self.client.get(self.path()).headers["ETag"]}

    def file(self) -> bytes:
        """A file that the operation takes: the catalogue, or its sleeves, as they are."""
        return self.client.get(self.path()).get_data()

    def send(self, path: str | None = None, body: Any = None, headers: dict[str, str] | None = None) -> TestResponse:
        """Send the operation's request, with what is given in place of what would go right."""
        headers = self.current() if headers is None else headers
        if self.operation.id in FILES:
            content = self.file() if body is None else orjson.dumps(body)
            kind = FILES[self.operation.id]
            return self.client.post(path or self.path(), data=content, content_type=kind, headers=headers)
        sent = {"json": self.body() if body is None else body} if "requestBody" in self.operation.node else {}
        return self.client.open(path or self.path(), method=self.operation.method.upper(), headers=headers, **sent)


def placed_and_removed(scene: Scene) -> TestResponse:
    """Remove an order that is no draft any more."""
    etag = scene.current()
    scene.client.put(f"{scene.path()}/state", json={"state": "placed"}, headers=etag)
    return scene.send()


def ordered_and_removed(scene: Scene) -> TestResponse:
    """Remove a plan that an order was made from."""
    scene.client.post("/v1/orders", json={"plans": [scene.places["{id}"]]})
    return scene.send()


IN_THE_WAY: dict[str, Callable[[Scene], TestResponse]] = {
    "deleteOrder": placed_and_removed,
    "deletePlan": ordered_and_removed,
    "putOrderState": lambda scene: scene.send(body={"state": "issued"}),
    "putStock": lambda scene: scene.send(body={"on_hand": 1}),
}
"""What is in the way where an operation answers 409."""


def as_promised(scene: Scene, status: int) -> TestResponse:
    """Send what ends in a status from 200 to 304."""
    operation = scene.operation
    if operation.id in ("createPlan", "createAddition") and status == 200:
        return scene.send(path=f"{scene.path()}?store=false")
    if operation.id == "putStock" and status == 201:
        return scene.send(path="/v1/stock/oval-seal", body={"on_hand": 5}, headers={"If-None-Match": "*"})
    if operation.id.startswith("put") and status == 201:
        kind = kind_of(operation)
        return scene.send(
            path=f"/v1/{kind}/new-1", body={**scene.body(), "code": "new-1"}, headers={"If-None-Match": "*"}
        )
    if status == 304:
        return scene.send(headers={"If-None-Match": scene.send().headers["ETag"]})
    return scene.send()


def as_refused(scene: Scene, status: int) -> TestResponse:
    """Send what ends in a status from 400 up."""
    absent = {"delivery": "0" * 32, "id": "0" * 32, "code": "absent", "slug": "absent"}
    if status == 400:
        return scene.send(path=f"{scene.path()}?colour=blue", headers={})
    if status == 404:
        return scene.send(path=scene.path(**absent), headers={"If-Match": "*"})
    if status == 406:
        return scene.send(headers={"Accept": "image/png"})
    if status == 409 and scene.operation.id in IN_THE_WAY:
        return IN_THE_WAY[scene.operation.id](scene)
    if status == 409:
        scene.app.extensions["traywright"].keys_in_flight.add((1, "held"))
        return scene.send(headers={"Idempotency-Key": "held"})
    if status == 412:
        return scene.send(headers={"If-Match": '"999"'})
    if status == 413:
        return scene.send(body={"padding": "x" * Settings().body_limit})
    if status == 415:
        body, method = b"code=1", scene.operation.method.upper()
        return scene.client.open(
            scene.path(), method=method, data=body, content_type="text/plain", headers=scene.current()
        )
    if status == 422:
        return scene.send(body={"colour": "blue"})
    assert status == 428
    return scene.send(headers={})


@pytest.mark.parametrize(("operation", "status"), [pair for pair in PAIRS if pair.values[1] != 503])
def test_a_promised_answer_is_seen(
    operation: Operation, status: int, app: Flask, filled: HeldClient, handhole: dict[str, Any]
) -> None:
    """The client of this test holds every answer against the description."""
    scene = Scene(app, filled, operation, handhole)
    response = as_promised(scene, status) if status < 400 else as_refused(scene, status)
    assert response.status_code == status, response.get_data(as_text=True)


@pytest.mark.parametrize(("operation", "status"), [pair for pair in PAIRS if pair.values[1] == 503])
def test_a_database_that_is_gone_is_told_without_saying_how(
    operation: Operation, status: int, spec_bodies: dict[str, Any], tmp_path: Path
) -> None:
    """Every operation that needs the database answers 503 with Retry-After, and nothing of the inside."""
    app = create_app(Settings(database=f"sqlite:///{tmp_path}/absent/store.db"))
    app.test_client_class = HeldClient
    code = spec_bodies.get(operation.path, {}).get("code", "a")
    path = operation.path.replace("{id}", "0" * 32).replace("{code}", code)
    path = path.replace("{delivery}", "0" * 32)
    path += SECTION.get(operation.id, "")
    sent = {"json": spec_bodies.get(operation.path)} if "requestBody" in operation.node else {}
    response = app.test_client().open(path, method=operation.method.upper(), headers={"If-Match": "*"}, **sent)
    assert response.status_code == status
    assert str(tmp_path) not in response.get_data(as_text=True)


@pytest.fixture
def spec_bodies() -> dict[str, Any]:
    """A valid body for every path that takes one: its first example."""
    return {
        operation.path: SPEC.resolved(next(iter(content["examples"].values())))["value"]
        for operation in SPEC.operations.values()
        if "requestBody" in operation.node
        for media_type, content in operation.node["requestBody"]["content"].items()
        if media_type == "application/json"
    }
