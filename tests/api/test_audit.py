"""Who changed what, over HTTP."""

from __future__ import annotations

from typing import Any

from flask import Flask

from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import finished
from tests.api.tokens import bearer


def test_whoever_changes_something_is_on_record(
    app: Flask, client: HeldClient, catalogue: dict[str, Any], handhole: dict[str, Any]
) -> None:
    """Catalogue, stock, an order, a hung closure: by the name of the token, in the order of the changes."""
    admin = bearer(app, "admin")
    client.environ_base["HTTP_AUTHORIZATION"] = admin["Authorization"]
    client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"})
    plan = client.post("/v1/plans", json=handhole).get_json()["id"]
    client.put("/v1/stock/rs-12", json={"on_hand": 10}, headers={"If-None-Match": "*"})
    order = client.post("/v1/orders", json={"plans": [plan]}).get_json()["id"]
    client.put(f"/v1/orders/{order}/state", json={"state": "placed"}, headers={"If-Match": '"1"'})
    hung = client.post("/v1/installations", json={"plan": plan}).get_json()["id"]
    changes = client.get("/v1/audit").get_json()["items"]
    told = [(each["operation"], each["item"], each["before"], each["after"]) for each in changes]
    assert told[0] == ("hung", hung, None, 1)
    assert ("placed", order, 1, 2) in told and ("make", order, None, 1) in told
    assert ("count", "rs-12", None, 1) in told and ("move", "rs-12", 1, 2) in told
    assert ("put", "ribbon-12", None, 1) in told
    assert {each["by"] for each in changes if each["kind"] != "tokens"} == {"Test"}
    only = client.get(f"/v1/audit?kind=orders&item={order}").get_json()["items"]
    assert [each["operation"] for each in only] == ["placed", "make"]
    page = client.get("/v1/audit?limit=2").get_json()
    assert [each["id"] for each in page["items"]] == [each["id"] for each in changes[:2]]
    following = client.get(f"/v1/audit?limit=500&cursor={page['next']}").get_json()["items"]
    assert [each["id"] for each in following] == [each["id"] for each in changes[2:]]


def test_what_was_removed_outlasts_itself_on_record(
    app: Flask, client: HeldClient, store: Store, catalogue: dict[str, Any], handhole: dict[str, Any]
) -> None:
    """A takeoff that was begun and removed, a plan that was removed: in a list apart, by name, kind and id."""
    client.environ_base["HTTP_AUTHORIZATION"] = bearer(app, "admin")["Authorization"]
    client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"})
    plan = client.post("/v1/plans", json=handhole).get_json()["id"]
    takeoff = finished(client, store, [handhole])
    for path in (f"/v1/plans/{plan}", f"/v1/takeoffs/{takeoff}"):
        assert client.delete(path, headers={"If-Match": "*"}).status_code == 204
    changes = client.get("/v1/audit/others").get_json()["items"]
    told = [(each["by"], each["operation"], each["kind"], each["item"]) for each in reversed(changes)]
    assert told == [
        ("Test", "begin", "takeoffs", takeoff),
        ("Test", "remove", "plans", plan),
        ("Test", "remove", "takeoffs", takeoff),
    ]
    assert changes[0]["before"] is changes[0]["after"] is None
    only = client.get(f"/v1/audit/others?kind=plans&item={plan}&limit=1").get_json()
    assert [each["operation"] for each in only["items"]] == ["remove"] and only["next"] is None
    assert client.get("/v1/audit?kind=plans").status_code == 400


def test_without_tokens_the_record_says_so(client: HeldClient, catalogue: dict[str, Any]) -> None:
    """It names nobody, and has no token."""
    client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"})
    change = client.get("/v1/audit?kind=trays&limit=1").get_json()["items"][0]
    assert change["by"] == "no token" and "token" not in change


def test_the_record_is_for_administrators(app: Flask, client: HeldClient) -> None:
    """403 for who may only read."""
    assert client.get("/v1/audit", headers=bearer(app, "read")).status_code == 403
