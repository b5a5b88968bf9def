"""Two teams in one database: whatever has an address, another team finds nothing there."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask

from service.api.spec import Operation, load_spec
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.hung import DROP
from tests.api.sent_takeoffs import finished, lines
from tests.api.tokens import bearer

SPEC = load_spec()
SINGLE = [
    pytest.param(operation, id=operation.id)
    for operation in SPEC.operations.values()
    if "{" in operation.path and operation.scope is not None
]
LISTS = [
    pytest.param(operation, id=operation.id)
    for operation in SPEC.operations.values()
    if operation.id.startswith("list") and "{" not in operation.path
]
CODES = {"sleeves": "ss-1", "trays": "ribbon-12", "closures": "dome-48", "cables": "drop-24", "methods": "flat-12"}


class TwoTeams:
    """North has one of everything; south has the same catalogue, or nothing yet. ``places`` fill north's addresses."""

    def __init__(
        self, app: Flask, client: HeldClient, store: Store, catalogue: dict[str, Any], handhole: dict[str, Any]
    ) -> None:
        self.client = client
        self.north, self.south = bearer(app, "admin", team="north"), bearer(app, "admin", team="south")
        self.catalogue = catalogue
        client.environ_base["HTTP_AUTHORIZATION"] = self.north["Authorization"]
        self.load(self.north)
        plan = client.post("/v1/plans", json=handhole).get_json()["id"]
        client.put("/v1/stock/rs-12", json={"on_hand": 10}, headers={"If-None-Match": "*"})
        order = client.post("/v1/orders", json={"plans": [plan]}).get_json()["id"]
        hung = client.post("/v1/installations", json={"plan": plan}).get_json()["id"]
        takeoff = finished(client, store, [handhole], "?closure_kinds=1")
        token = client.get("/v1/whoami").get_json()["token"]["id"]
        told = {"url": "https://1.1.1.1/told", "events": ["order.placed"]}
        webhook = client.post("/v1/webhooks", json=told).get_json()["id"]
        self.delivery = client.post(f"/v1/webhooks/{webhook}/tries").get_json()["id"]
        self.ids = {
            "plans": plan, "orders": order, "installations": hung, "takeoffs": takeoff, "tokens": token,
            "webhooks": webhook,
        }  # fmt: skip
        del client.environ_base["HTTP_AUTHORIZATION"]

    def load(self, headers: dict[str, str]) -> None:
        """Give a team the small catalogue."""
        answer = self.client.put("/v1/catalogue", json=self.catalogue, headers={**headers, "If-None-Match": "*"})
        assert answer.status_code == 200

    def path(self, operation: Operation) -> str:
        """The address of north's thing."""
        kind = operation.path.split("/")[2]
        code = "rs-12" if kind in ("stock", "orders") else CODES.get(kind, "oval-seal")
        path = operation.path.replace("{id}", self.ids.get(kind, "")).replace("{code}", code)
        return path.replace("{place}", "1").replace("{splice}", "1").replace("{delivery}", self.delivery)

    def body(self, operation: Operation) -> dict[str, Any]:
        """What is sent: to north's address as north sends it."""
        if "requestBody" not in operation.node:
            return {}
        content = operation.node["requestBody"]["content"]
        media_type, media = next(iter(content.items()))
        if media_type != "application/json":
            return {"data": lines([]), "content_type": media_type}
        if operation.id == "createAddition":
            return {"json": DROP}
        example = SPEC.resolved(next(iter(media["examples"].values())))["value"]
        code = self.path(operation).split("/")[3]
        return {"json": {**example, "code": code} if "code" in example else example}


@pytest.fixture
def teams(
    app: Flask, client: HeldClient, store: Store, catalogue: dict[str, Any], handhole: dict[str, Any]
) -> TwoTeams:
    """The two teams."""
    return TwoTeams(app, client, store, catalogue, handhole)


@pytest.mark.parametrize("operation", SINGLE)
def test_what_is_another_teams_is_not_there(operation: Operation, teams: TwoTeams) -> None:
    """404 for south at every address of north's, by every method, whatever it says of what it expects to find.

    North itself gets past that: the address is right. A code is nobody's alone, so where south could create an entry
    it is told (412) that there is nothing yet to replace.
    """
    path, sent = teams.path(operation), teams.body(operation)
    method, expect = operation.method.upper(), {"If-Match": "*"}
    for each in ("GET", "HEAD") if method == "GET" else (method,):
        expecting = expect if each in ("PUT", "DELETE") else {}
        if method == "GET":
            assert teams.client.open(path, method=each, headers={**teams.north, **expecting}).status_code != 404
        answer = teams.client.open(path, method=each, headers={**teams.south, **expecting}, **sent)
        if method == "PUT" and answer.status_code == 412:
            assert "There is nothing here to replace" in answer.get_json()["detail"]
        else:
            assert answer.status_code == 404, answer.get_data(as_text=True)
    if method != "GET":
        assert teams.client.open(path, method=method, headers={**teams.north, **expect}, **sent).status_code != 404


@pytest.mark.parametrize("operation", LISTS)
def test_lists_have_the_teams_own_alone(operation: Operation, teams: TwoTeams) -> None:
    """North has at least one in every list, south none (but its own token, and that it was made)."""
    north = teams.client.get(operation.path, headers=teams.north).get_json()["items"]
    south = teams.client.get(operation.path, headers=teams.south).get_json()["items"]
    assert north
    assert [each for each in south if each in north] == []
    assert len(south) == (1 if operation.id in ("listTokens", "listChanges") else 0)


def test_what_one_team_does_to_its_catalogue_another_does_not_see(teams: TwoTeams, handhole: dict[str, Any]) -> None:
    """The same codes twice: south changes, removes and plans; north's entries, revision and plans stay as they are."""
    client, before = teams.client, teams.client.get("/v1/catalogue", headers=teams.north)
    assert client.get("/v1/catalogue", headers=teams.south).headers["ETag"] == '"0"'
    teams.load(teams.south)
    assert client.delete("/v1/methods/flat-12", headers={**teams.south, "If-Match": "*"}).status_code == 204
    plan = client.post("/v1/plans", json=handhole, headers=teams.south)
    after = client.get("/v1/catalogue", headers=teams.north)
    assert (after.get_json(), after.headers["ETag"]) == (before.get_json(), before.headers["ETag"])
    assert plan.status_code in (201, 422)


def test_keys_of_two_teams_do_not_meet(teams: TwoTeams, handhole: dict[str, Any]) -> None:
    """The same Idempotency-Key with other bodies makes a plan for each, and each replays its own."""
    teams.load(teams.south)
    key = {"Idempotency-Key": "first-lot"}
    other = {**handhole, "name": "Another place"}
    first = teams.client.post("/v1/plans", json=handhole, headers={**teams.north, **key}).get_json()
    second = teams.client.post("/v1/plans", json=other, headers={**teams.south, **key})
    assert second.status_code == 201
    assert second.get_json()["id"] != first["id"]
    for headers, body, made in ((teams.north, handhole, first), (teams.south, other, second.get_json())):
        again = teams.client.post("/v1/plans", json=body, headers={**headers, **key})
        assert again.get_json()["id"] == made["id"]


def test_a_cursor_of_another_team_leads_nowhere(teams: TwoTeams) -> None:
    """400, though the address and the filters are the same."""
    teams.load(teams.south)
    cursor = teams.client.get("/v1/cables?limit=1", headers=teams.north).get_json()["next"]
    assert teams.client.get(f"/v1/cables?limit=1&cursor={cursor}", headers=teams.north).status_code == 200
    assert teams.client.get(f"/v1/cables?limit=1&cursor={cursor}", headers=teams.south).status_code == 400


def test_an_order_takes_no_plan_and_no_stock_of_another_team(teams: TwoTeams, handhole: dict[str, Any]) -> None:
    """North's plan and takeoff are unknown to south's orders, and south's order finds none of north's stock."""
    teams.load(teams.south)
    for sources in ({"plans": [teams.ids["plans"]]}, {"takeoffs": [teams.ids["takeoffs"]]}):
        answer = teams.client.post("/v1/orders", json=sources, headers=teams.south)
        assert answer.status_code == 422, answer.get_data(as_text=True)
    plan = teams.client.post("/v1/plans", json=handhole, headers=teams.south).get_json()["id"]
    order = teams.client.post("/v1/orders", json={"plans": [plan]}, headers=teams.south).get_json()
    assert all(float(line.get("from_stock", 0)) == 0 for line in order["lines"])
    held = teams.client.get("/v1/stock/rs-12", headers=teams.north).get_json()
    assert held["held"] > 0


def test_a_closure_is_not_hung_from_a_plan_of_another_team(teams: TwoTeams) -> None:
    """The plan is unknown to it."""
    teams.load(teams.south)
    answer = teams.client.post("/v1/installations", json={"plan": teams.ids["plans"]}, headers=teams.south)
    assert answer.status_code == 422
    assert answer.get_json()["errors"][0]["code"] == "unknown_plan"
