"""Every operation that changes something leaves an entry in the record of changes, or there is a reason why not."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from service.api.spec import Operation, load_spec
from service.domain.audit import AUDITED, OTHERS, AuditEntry
from service.store import AuditFilter, Store
from tests.api.held_client import HeldClient
from tests.contract import test_every_answer, test_every_takeoff_answer

SPEC = load_spec()
CHANGING = [operation for operation in SPEC.operations.values() if operation.method not in ("get", "head")]
NOT_ON_RECORD = {
    "checkFit": "nothing is stored",
    "createPlan": "a plan changes nothing, is never changed and has its own time; what is made from it is on record",
    "createAddition": "as of a plan, unless it is recorded as done: that is tried below",
    "tryWebhook": "nothing is changed, and the delivery is in the webhook's own list",
    "repeatWebhookDelivery": "as of a try",
}
"""Operations that leave no entry, each with the reason."""

OTHER: dict[str, Any] = {
    "putStock": {"on_hand": 400},
    "putInstallation": {"name": "Another place"},
    "putWebhook": {**test_every_answer.WEBHOOK, "active": False},
}
"""What is sent to replace what stands: the same again would be no change."""


def recorded(store: Store) -> list[AuditEntry]:
    """Everything on record, the newest first."""
    return store.audit.listed(500, None, AuditFilter((*AUDITED, *OTHERS)))


def retitled(client: HeldClient) -> None:
    """A sleeve gets another title, so that a file of the catalogue as it was changes something."""
    sleeve = client.get("/v1/sleeves").get_json()["items"][0]
    path = f"/v1/sleeves/{sleeve['code']}"
    entry = {**client.get(path).get_json(), "title": "Another"}
    assert client.put(path, json=entry, headers={"If-Match": "*"}).status_code == 200


def carried_out(
    operation: Operation, app: Flask, client: HeldClient, store: Store, handhole: dict[str, Any]
) -> tuple[TestResponse, list[AuditEntry]]:
    """The answer to a request that goes right, and what came on record by it."""
    if operation.path.startswith("/v1/takeoffs"):
        takeoffs = test_every_takeoff_answer.Scene(app, client, store, operation, handhole)
        before = len(recorded(store))
        response = takeoffs.send()
    elif operation.id in test_every_answer.FILES:
        scene = test_every_answer.Scene(app, client, operation, handhole)
        file, kind = scene.file(), test_every_answer.FILES[operation.id]
        retitled(client)
        before = len(recorded(store))
        response = client.post(scene.path(), data=file, content_type=kind)
    else:
        scene = test_every_answer.Scene(app, client, operation, handhole)
        body = OTHER.get(operation.id, scene.body())
        if operation.method == "put" and operation.id not in OTHER:
            changed = body["trays"][0] if operation.id == "putCatalogue" else body
            changed.update({"title": "Another"} if "title" in changed else {})
        before = len(recorded(store))
        response = scene.send(body=body)
    found = recorded(store)
    return response, found[: len(found) - before]


@pytest.mark.parametrize("operation", [pytest.param(each, id=each.id) for each in CHANGING])
def test_a_change_is_on_record_or_there_is_a_reason(
    operation: Operation, app: Flask, filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """Who and what stands there once the request has been answered; for the exceptions nothing does, and a reason."""
    response, entries = carried_out(operation, app, filled, store, handhole)
    assert response.status_code in (200, 201, 202, 204), response.get_data(as_text=True)
    if operation.id in NOT_ON_RECORD:
        assert entries == []
        return
    assert entries
    assert {each.by.name for each in entries} == {"Test" if operation.path.startswith("/v1/tokens") else "no token"}
    assert all(each.item and each.operation for each in entries)


def test_the_exceptions_are_operations_that_there_are() -> None:
    """None is left over from an operation of another name."""
    assert set(NOT_ON_RECORD) <= {operation.id for operation in CHANGING}


def test_an_addition_that_is_done_is_on_record(
    app: Flask, filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """``apply=true`` is a visit to the closure: from its first revision to the second."""
    addition = next(operation for operation in CHANGING if operation.id == "createAddition")
    scene = test_every_answer.Scene(app, filled, addition, handhole)
    assert scene.send(path=f"{scene.path()}?apply=true").status_code == 201
    entry = recorded(store)[0]
    assert (entry.operation, entry.kind, entry.before, entry.after) == ("added", "installations", 1, 2)
