"""A database that an earlier version left behind, upgraded by this one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from service.store import NotMigrated, schema
from tests.store.kept import SCHEMA, kept_in

HUNG = "0730b5a31f724da8ae31e26c2e018af5"
PLANS = ("d9224bc4b4004264b66c77979311cc3e", "7cd8e1e3400a4314bf6b9671b569db31")
ORDER = "3804213e6b934ee080eb5fdc7d654761"
TAKEOFF = "0c0a2a40c26242548d23053d60356dbe"
"""The ids that the earlier version gave."""


def read(client: FlaskClient, path: str) -> Any:
    """What stands there now."""
    answer = client.get(path)
    assert answer.status_code == 200, (path, answer.text)
    return answer.get_json()


def test_what_an_earlier_version_kept_is_there_after_the_upgrade(
    url: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Plans, takeoff, order, stock, the closure that hangs and its records read as they were."""
    store = kept_in(url, tmp_path)
    request.addfinalizer(store.close)
    with pytest.raises(NotMigrated, match=f"at schema {SCHEMA}, this version needs {schema.head()}"):
        store.catalogue_revision()
    store.upgrade()
    client = create_app(Settings(), store).test_client()
    assert len(read(client, "/v1/catalogue")["closures"]) > 3
    first, second = (read(client, f"/v1/plans/{each}") for each in PLANS)
    assert (first["splices"], first["closure"]["code"], first["proof"]["optimal"]) == (27, "dome-48", True)
    assert second["splices"] == 5
    takeoff = read(client, f"/v1/takeoffs/{TAKEOFF}")
    assert (takeoff["state"], takeoff["points"]["fitting"]) == ("finished", 6)
    order = read(client, f"/v1/orders/{ORDER}")
    assert order["state"] == "placed" and {line["item"]: line["quantity"] for line in order["lines"]}["ss-60"] == 65
    assert read(client, "/v1/stock/rs-12?kind=sleeve")["on_hand"] == 40
    hung = read(client, f"/v1/installations/{HUNG}")
    assert (hung["name"], hung["splices"], hung["visits"]) == ("Ferrow Lane, handhole 7", 32, 2)
    assert len(read(client, f"/v1/installations/{HUNG}/splice-records")["items"]) == 27


def test_an_upgraded_database_takes_what_comes_next(url: str, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """The order goes on, its takeoff stays, and a stored request is planned anew, all on the old rows."""
    store = kept_in(url, tmp_path)
    request.addfinalizer(store.close)
    store.upgrade()
    client = create_app(Settings(), store).test_client()
    path = f"/v1/orders/{ORDER}/state"
    moved = client.put(path, json={"state": "received"}, headers={"If-Match": client.get(path).headers["ETag"]})
    assert moved.status_code == 200, moved.text
    again = client.post("/v1/plans", data=store.plan(PLANS[0]).request, content_type="application/json")
    assert again.status_code == 201 and again.get_json()["splices"] == 27
    held = client.delete(f"/v1/takeoffs/{TAKEOFF}", headers={"If-Match": "*"})
    assert held.status_code == 409 and held.get_json()["type"] == "/problems/in-order"
