"""Who is let in, and who is not."""

from __future__ import annotations

import logging
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.api.access.door import Door
from service.api.access.failed_attempts import MOST, WINDOW_S, FailedAttempts
from service.api.access.known_tokens import KEPT_S
from service.api.metrics import Metrics
from service.api.problems import Problem
from service.domain.access import SCOPES
from service.store import AnyRevision, Store
from tests.api.held_client import HeldClient
from tests.api.tokens import bearer, made

HERE, THERE = "127.0.0.1", "192.0.2.7"
NOW = datetime.now(UTC)
UNKNOWN = f"Bearer tw_{'0' * 32}_{'a' * 43}"


class Clocks:
    """A wall clock and a count of seconds that go on together when told to."""

    def __init__(self) -> None:
        self.passed = 0.0

    def seconds(self) -> float:
        return self.passed

    def now(self) -> datetime:
        return NOW + timedelta(seconds=self.passed)


@pytest.fixture
def clocks() -> Clocks:
    return Clocks()


@pytest.fixture
def door(store: Store, clocks: Clocks) -> Door:
    return Door(store, Metrics(), clocks.now, clocks.seconds)


def refusal(door: Door, header: str | None, address: str = THERE) -> Problem:
    with pytest.raises(Problem) as raised:
        door.caller(header, address)
    return raised.value


def test_without_tokens_whoever_is_on_this_machine_may_do_everything(door: Door) -> None:
    """For the default team; from another machine, however it came here, nobody may do anything."""
    caller = door.caller(None, HERE)
    assert (caller.team.name, caller.scopes, caller.token) == ("default", frozenset(SCOPES), None)
    assert door.caller(None, "::1") == caller
    for address in (THERE, "", "2001:db8::1", "nonsense"):
        assert refusal(door, None, address).status == 401


def test_the_first_token_closes_the_door_within_seconds(door: Door, store: Store, clocks: Clocks) -> None:
    """Also on this machine, and also when the token is revoked again: rows of tokens stay."""
    assert door.caller(None, HERE).token is None
    token, headers = made(store, "read")
    clocks.passed += KEPT_S
    assert refusal(door, None, HERE).status == 401
    assert door.caller(headers["Authorization"], HERE).token == token
    store.access.revoke(token.team, token.id, AnyRevision())
    clocks.passed += KEPT_S
    assert refusal(door, None, HERE).status == 401


def test_a_token_is_looked_at_once_in_a_while_and_a_revocation_is_seen_soon(
    door: Door, store: Store, clocks: Clocks
) -> None:
    """Good a moment longer in another process, refused after that, and told that it was revoked."""
    token, headers = made(store, "read")
    door.caller(headers["Authorization"], THERE)
    store.access.revoke(token.team, token.id, AnyRevision())
    assert door.caller(headers["Authorization"], THERE).token is not None
    clocks.passed += KEPT_S
    assert refusal(door, headers["Authorization"]).detail == "The token was revoked."


def test_a_token_ends_with_its_day(door: Door, store: Store, clocks: Clocks) -> None:
    """At the moment of its expiry it is not good, whatever was known of it."""
    token, headers = made(store, "read", days=1)
    clocks.passed = (token.expires - NOW).total_seconds() - 0.001
    door.caller(headers["Authorization"], THERE)
    clocks.passed += 0.001
    assert refusal(door, headers["Authorization"]).detail == "The token has expired."


@pytest.mark.parametrize("scheme", ["bearer ", "BEARER  "])
def test_the_scheme_is_read_whatever_its_case(door: Door, store: Store, scheme: str) -> None:
    """RFC 9110, section 11.1: the scheme's name is case-insensitive."""
    token, headers = made(store, "read")
    assert door.caller(headers["Authorization"].replace("Bearer ", scheme), THERE).token == token


def test_whatever_is_not_a_good_token_is_told_the_same(door: Door, store: Store) -> None:
    """An unknown id, a wrong secret, another scheme and no token differ in nothing that a stranger could use."""
    _, headers = made(store, "read")
    wrong = headers["Authorization"][:-1] + ("A" if headers["Authorization"][-1] != "A" else "B")
    told = {refusal(door, each).detail for each in (UNKNOWN, wrong, "Basic YTpi", "Bearer", "Bearer x")}
    assert told == {"The token is not good."}


def test_an_address_that_failed_often_waits_and_others_do_not(door: Door, store: Store, clocks: Clocks) -> None:
    """429 until the window ends, for an unknown token and for a good one never used before; no one else."""
    _, colleague = made(store, "read")
    _, other = made(store, "read")
    clocks.passed = WINDOW_S
    door.caller(colleague["Authorization"], THERE)
    for _ in range(MOST):
        assert refusal(door, UNKNOWN).status == 401
    for header in (UNKNOWN, other["Authorization"]):
        problem = refusal(door, header)
        assert (problem.status, problem.headers["Retry-After"]) == (429, "60")
    assert door.caller(colleague["Authorization"], THERE).token is not None
    assert door.caller(other["Authorization"], "192.0.2.8").token is not None
    clocks.passed += WINDOW_S
    assert refusal(door, UNKNOWN).status == 401


def test_who_worked_goes_on_working_behind_an_address_that_waits(door: Door, store: Store, clocks: Clocks) -> None:
    """As long as the address waits, not for a moment alone; a revocation is seen meanwhile, a wrong secret waits."""
    token, colleague = made(store, "read")
    door.caller(colleague["Authorization"], THERE)
    for _ in range(MOST):
        refusal(door, UNKNOWN)
    for _ in range(10):
        clocks.passed += WINDOW_S / 12
        assert door.caller(colleague["Authorization"], THERE).token is not None
    assert refusal(door, colleague["Authorization"][:-1] + "#").status == 429
    assert refusal(door, f"Bearer tw_{token.id}_{'a' * 43}").status == 429
    store.access.revoke(token.team, token.id, AnyRevision())
    clocks.passed += KEPT_S
    assert refusal(door, colleague["Authorization"]).detail == "The token was revoked."


def test_failures_of_many_addresses_take_bounded_memory() -> None:
    """The addresses that failed longest ago are forgotten; of IPv6 a network of 64 bits counts as one."""
    failures = FailedAttempts(lambda: 0.0)
    for number in range(20_000):
        failures.add(f"10.{number >> 16}.{number >> 8 & 255}.{number & 255}")
    assert len(failures._counts) == 10_000
    for number in range(MOST):
        failures.add(f"2001:db8::{number:x}")
    assert failures.wait_s("2001:db8::ffff") == 60
    assert failures.wait_s("2001:db8:0:1::1") == 0


def test_who_is_not_let_in_is_counted(app: Flask, client: HeldClient) -> None:
    """By why, and without anything of what was sent."""
    bearer(app, "read")
    client.get("/v1/plans")
    client.get("/v1/plans", headers={"Authorization": UNKNOWN})
    metrics = client.get("/metrics").get_data(as_text=True)
    assert 'traywright_failed_sign_ins_total{why="none"} 1.0' in metrics
    assert 'traywright_failed_sign_ins_total{why="not good"} 1.0' in metrics


@pytest.mark.parametrize("path", ["/", "/plans", "/fit", "/stock", "/takeoffs", "/orders", "/catalogue"])
def test_pages_need_a_token_as_the_api_does(path: str, app: Flask) -> None:
    """Not one page is shown to who has none, but where to sign in is; ``read`` is enough for all of them."""
    headers = bearer(app, "read")
    browser = FlaskClient(app, app.response_class)
    away = browser.get(path)
    assert (away.status_code, away.headers["Location"].partition("?")[0]) == (303, "/sign-in")
    assert browser.get(path, headers=headers).status_code == 200


def test_what_the_service_says_of_itself_is_open(app: Flask, client: HeldClient) -> None:
    """Health, description and problems need no token from anywhere; metrics need one from elsewhere."""
    bearer(app, "read")
    for path in (
        "/healthz",
        "/readyz",
        "/openapi.yaml",
        "/openapi.json",
        "/problems/stale",
        "/.well-known/api-catalog",
    ):
        assert client.get(path, environ_base={"REMOTE_ADDR": THERE}).status_code == 200
    assert client.get("/metrics").status_code == 200
    assert client.get("/metrics", environ_base={"REMOTE_ADDR": THERE}).status_code == 401
    assert client.get("/metrics", headers={"X-Forwarded-For": THERE}).status_code == 401


def test_nothing_of_a_token_is_logged(
    app: Flask, client: HeldClient, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither the header nor a cookie nor the secret, where a request succeeds, is refused, or breaks off inside."""
    headers = {**bearer(app, "admin"), "Cookie": "canary=canary-in-a-cookie"}
    secret = headers["Authorization"].rpartition("_")[2][:20]

    def broken(*_: Any) -> None:
        raise RuntimeError("broken on purpose")

    with caplog.at_level(logging.DEBUG):
        client.get("/v1/whoami", headers=headers)
        client.get("/v1/plans", headers={"Authorization": headers["Authorization"] + "x"})
        made_now = client.post("/v1/tokens", json={"name": "Crew", "scopes": ["read"]}, headers=headers).get_json()
        monkeypatch.setitem(app.view_functions, "whoami.read_caller", broken)
        assert client.get("/v1/whoami", headers=headers).status_code == 500
    assert "broken on purpose" in caplog.text
    for canary in (secret, "canary-in-a-cookie", made_now["token"].rpartition("_")[2], "Bearer"):
        assert canary not in caplog.text
