"""Tokens over HTTP."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask

from tests.api.held_client import HeldClient
from tests.api.tokens import bearer


@pytest.fixture
def admin(app: Flask) -> dict[str, str]:
    """An administrator of the default team."""
    return bearer(app, "admin")


def test_a_new_token_is_shown_once_and_works(client: HeldClient, admin: dict[str, str]) -> None:
    """The answer has it whole, what is read later does not, and it allows what was asked for."""
    body = {"name": "Crew 4", "scopes": ["build", "read"], "last_day": f"{datetime.now(UTC):%Y-%m-%d}"}
    made = client.post("/v1/tokens", json=body, headers=admin)
    assert made.status_code == 201
    assert made.headers["Cache-Control"] == "no-store"
    token = made.get_json()["token"]
    assert (made.get_json()["scopes"], made.get_json()["team"]) == (["read", "build"], "default")
    later = client.get(made.headers["Location"], headers=admin).get_json()
    assert "token" not in later
    assert later["id"] in token
    who = client.get("/v1/whoami", headers={"Authorization": f"Bearer {token}"}).get_json()
    assert (who["scopes"], who["token"]["name"]) == (["read", "build"], "Crew 4")


def test_the_first_token_shuts_the_door_at_once(client: HeldClient) -> None:
    """Who made it without one on this machine needs it for the very next request."""
    assert client.get("/v1/plans").status_code == 200
    made = client.post("/v1/tokens", json={"name": "Office", "scopes": ["admin"]})
    assert made.status_code == 201
    assert client.get("/v1/plans").status_code == 401
    bearing = {"Authorization": f"Bearer {made.get_json()['token']}"}
    assert client.get("/v1/plans", headers=bearing).status_code == 200


def test_a_token_lasts_ninety_days_where_nothing_else_is_said(client: HeldClient, admin: dict[str, str]) -> None:
    """To the end of that day in UTC."""
    today = datetime.now(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    made = client.post("/v1/tokens", json={"name": "a", "scopes": ["read"]}, headers=admin).get_json()
    assert datetime.fromisoformat(made["expires"]) - today in (timedelta(days=91), timedelta(days=92))


@pytest.mark.parametrize("day", ["2020-01-01", "2099-01-01"])
def test_a_token_of_yesterday_or_for_ever_is_refused(client: HeldClient, admin: dict[str, str], day: str) -> None:
    """422 at the day."""
    answer = client.post("/v1/tokens", json={"name": "a", "scopes": ["read"], "last_day": day}, headers=admin)
    assert answer.status_code == 422
    assert answer.get_json()["errors"][0]["pointer"] == "/last_day"


def test_a_revoked_token_is_refused_at_once_and_stays_listed(
    app: Flask, client: HeldClient, admin: dict[str, str]
) -> None:
    """Where it was revoked nothing is remembered of it; the tag that a change is guarded by moves on."""
    crew = bearer(app, "read")
    id = client.get("/v1/whoami", headers=crew).get_json()["token"]["id"]
    etag = client.get(f"/v1/tokens/{id}", headers=admin).headers["ETag"]
    assert client.delete(f"/v1/tokens/{id}", headers={**admin, "If-Match": etag}).status_code == 204
    assert client.get("/v1/plans", headers=crew).status_code == 401
    assert client.delete(f"/v1/tokens/{id}", headers={**admin, "If-Match": etag}).status_code == 412
    listed = client.get("/v1/tokens", headers=admin).get_json()["items"]
    assert [(each["id"] == id, "revoked" in each) for each in listed] == [(True, True), (False, False)]


def test_an_administrator_sees_its_own_team_alone(app: Flask, client: HeldClient, admin: dict[str, str]) -> None:
    """A token of another team is neither listed, read nor revoked: 404."""
    north = bearer(app, "admin", team="north")
    id = client.get("/v1/whoami", headers=north).get_json()["token"]["id"]
    assert client.get(f"/v1/tokens/{id}", headers=admin).status_code == 404
    assert client.delete(f"/v1/tokens/{id}", headers={**admin, "If-Match": "*"}).status_code == 404
    assert id not in [each["id"] for each in client.get("/v1/tokens", headers=admin).get_json()["items"]]
    made = client.post("/v1/tokens", json={"name": "a", "scopes": ["read"]}, headers=north).get_json()
    assert made["team"] == "north"
