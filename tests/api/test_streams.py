"""Long answers hold threads of the server: never all of them."""

from __future__ import annotations

from typing import Any

from flask import Flask
from flask.testing import FlaskClient

from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import finished


def test_readers_who_take_their_time_leave_threads_for_others(
    app: Flask, store: Store, filled: HeldClient, handhole: dict[str, Any]
) -> None:
    """Half of the threads may send plans; who comes then is told to ask again, and can once a reader is gone."""
    id = finished(filled, store, [{**handhole, "name": f"p{number}"} for number in range(3)])
    stream = f"/v1/takeoffs/{id}/plans.ndjson"
    reader = FlaskClient(app)
    most = Settings().threads // 2
    begun = [reader.get(stream, buffered=False) for _ in range(most)]
    assert [answer.status_code for answer in begun] == [200] * most
    refused = filled.get(stream)
    assert refused.status_code == 503 and int(refused.headers["Retry-After"]) > 0
    assert filled.get(f"/v1/takeoffs/{id}/plans").status_code == 200
    begun.pop().close()
    assert len(filled.get(stream).get_data().splitlines()) == 3
    assert filled.get(stream).status_code == 200


def test_asking_for_the_head_alone_holds_nothing(store: Store, filled: HeldClient, handhole: dict[str, Any]) -> None:
    """HEAD has no body that a reader could be slow to take."""
    stream = f"/v1/takeoffs/{finished(filled, store, [handhole])}/plans.ndjson"
    assert {filled.head(stream).status_code for _ in range(10)} == {200}
    assert filled.get(stream).status_code == 200
