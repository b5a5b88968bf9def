"""Signing in on a page with a token, what the cookie is good for, and what it is not."""

from __future__ import annotations

import io
import re
from datetime import timedelta
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.pages import blueprint
from service.store import AnyRevision, Store
from tests.api.held_client import HeldClient
from tests.api.tokens import bearer
from tests.pages.seen import SAME, Seen
from tests.pages.test_fit import HANDHOLE


class Signed:
    """A browser that has signed in with an administrator's token."""

    def __init__(self, app: Flask, browser: FlaskClient) -> None:
        self.browser = browser
        self.headers = bearer(app, "admin")
        self.token = self.headers["Authorization"].removeprefix("Bearer ")
        self.answer = browser.post("/sign-in", data={"token": self.token, "next": "/orders"}, headers=SAME)
        self.cookie = self.answer.headers["Set-Cookie"]


@pytest.fixture
def signed(app: Flask, browser: FlaskClient) -> Signed:
    return Signed(app, browser)


def test_who_signs_in_sees_what_was_asked_for(signed: Signed) -> None:
    """The way leads on to the page that was asked for first, and every page shows whose it is."""
    assert (signed.answer.status_code, signed.answer.headers["Location"]) == (303, "/orders")
    page = Seen(signed.browser.get("/plans"))
    assert "signed in for the team default" in page.text


def test_the_cookie_is_for_this_server_alone_and_is_not_the_token(signed: Signed, app: Flask) -> None:
    """HttpOnly and SameSite=Strict always; Secure and __Host- wherever it is not plain http on this machine."""
    secret = signed.token.rpartition("_")[2]
    assert secret not in signed.cookie and signed.token[-20:] not in signed.cookie
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= set(signed.cookie.split("; "))
    assert signed.cookie.startswith("traywright=") and "Secure" not in signed.cookie
    for base in ("https://localhost", "http://planner.example", "https://planner.example"):
        other = FlaskClient(app, app.response_class)
        same = {"Origin": base}
        cookie = other.post("/sign-in", data={"token": signed.token}, headers=same, base_url=base).headers["Set-Cookie"]
        assert cookie.startswith("__Host-traywright=")
        assert {"Secure", "HttpOnly", "SameSite=Strict", "Path=/"} <= set(cookie.split("; "))
        assert "Domain" not in cookie


def test_the_cookie_ends_with_the_token(signed: Signed, store: Store, app: Flask) -> None:
    """Revoked, the token lets nobody in, by a cookie neither; a token of two hours gives a cookie of two hours."""
    team = store.access.team("default")
    token = store.access.listed(team)[0]
    assert "Max-Age=43" in signed.cookie
    store.access.revoke(team, token.id, AnyRevision())
    app.extensions["traywright"].door.forget(token.id)
    assert signed.browser.get("/plans").headers["Location"].startswith("/sign-in")
    assert signed.browser.get("/v1/plans").status_code == 401
    _, text = store.access.make(team, "short", ("read",), token.created + timedelta(hours=2))
    answer = signed.browser.post("/sign-in", data={"token": str(text)}, headers=SAME)
    lasts = int(answer.headers["Set-Cookie"].partition("Max-Age=")[2].partition(";")[0])
    assert 7000 < lasts <= 7200


def test_a_cookie_that_was_changed_is_none(signed: Signed) -> None:
    """A later end, another token's id, another signature, or nonsense: sign in again."""
    value = signed.cookie.partition("=")[2].partition(";")[0]
    id, ends, signature = value.split(".")
    for wrong in (
        f"{id}.{int(ends) + 1}.{signature}",
        f"{'0' * 32}.{ends}.{signature}",
        f"{id}.{ends}.{'0' * 64}",
        f"{id}.999999999999.{signature}",
        "nonsense",
        "",
    ):
        signed.browser.set_cookie("traywright", wrong)
        assert signed.browser.get("/plans").status_code == 303


def test_forms_are_taken_only_with_what_their_page_gave_them(signed: Signed, filled: HeldClient) -> None:
    """With the cookie and from the same site, but without the page's own word: 403, and nothing is stored."""
    files = {"points": (io.BytesIO(b"{}"), "build.ndjson")}
    for path, data in (("/fit", HANDHOLE), ("/orders", {}), ("/orders/none/state", {}), ("/takeoffs", files)):
        for word in ({}, {"form-token": "0" * 64}):
            sent = {**data, **word} if path != "/takeoffs" else {"points": (io.BytesIO(b"{}"), "a.ndjson"), **word}
            answer = signed.browser.post(path, data=sent, headers=SAME)
            assert answer.status_code == 403 and "nothing was changed" in Seen(answer).text
    assert filled.get("/v1/plans", headers=signed.headers).get_json()["items"] == []
    verdict = Seen(signed.browser.get("/fit", query_string=HANDHOLE))
    word = {"form-token": verdict.fields("/fit")["form-token"]}
    assert signed.browser.post("/fit", data={**HANDHOLE, **word}, headers=SAME).status_code == 303
    upload = {"points": (io.BytesIO(b"{}\n"), "a.ndjson"), **word}
    assert signed.browser.post("/takeoffs", data=upload, headers=SAME).status_code == 303


def test_the_cookie_reads_what_the_api_has_and_changes_nothing_there(signed: Signed) -> None:
    """The pages' pictures and sheets come from there; a change asks for the token itself."""
    assert signed.browser.get("/v1/plans").status_code == 200
    assert signed.browser.post("/v1/plans", json={}).status_code == 401
    assert signed.browser.delete(f"/v1/plans/{'0' * 32}", headers={"If-Match": "*"}).status_code == 401


def test_a_token_that_is_not_good_is_told_and_counted(app: Flask, browser: FlaskClient) -> None:
    """401 with the form again, and after ten of them 429."""
    bearer(app, "admin")
    for _ in range(10):
        answer = browser.post("/sign-in", data={"token": "tw_wrong"}, headers=SAME)
        assert answer.status_code == 401 and "not good" in Seen(answer).text
    assert browser.post("/sign-in", data={"token": "tw_wrong"}, headers=SAME).status_code == 429


@pytest.mark.parametrize("onward", ["https://elsewhere.example", "//elsewhere.example", "/\\elsewhere.example", "x"])
def test_signing_in_leads_to_no_other_server(app: Flask, browser: FlaskClient, onward: str) -> None:
    """Whatever the address says, the way leads to a page here."""
    token = bearer(app, "read")["Authorization"].removeprefix("Bearer ")
    answer = browser.post("/sign-in", data={"token": token, "next": onward}, headers=SAME)
    assert answer.headers["Location"] == "/"


def test_who_signs_out_is_out(signed: Signed) -> None:
    """The browser forgets the cookie."""
    assert signed.browser.post("/sign-out", headers=SAME).status_code == 303
    assert signed.browser.get("/plans").status_code == 303


def test_a_page_says_which_scope_is_missing(app: Flask, browser: FlaskClient) -> None:
    """Who may only read sees every page; its forms are told what they would need."""
    token = bearer(app, "read")["Authorization"].removeprefix("Bearer ")
    browser.post("/sign-in", data={"token": token}, headers=SAME)
    assert browser.get("/plans").status_code == 200
    for path, scope in (("/fit", "plan"), ("/takeoffs", "build"), ("/orders", "order")):
        answer = browser.post(path, data={}, headers=SAME)
        assert answer.status_code == 403 and f"scope {scope}" in Seen(answer).text


def test_without_tokens_there_is_nothing_to_sign_in_with(browser: FlaskClient) -> None:
    """The page leads to the start, and no form carries anything."""
    assert browser.get("/sign-in").headers["Location"] == "/"
    assert "form-token" not in browser.get("/takeoffs").get_data(as_text=True)


def test_over_a_way_that_is_not_encrypted_the_page_says_that_it_will_not_do(app: Flask, browser: FlaskClient) -> None:
    """Not on this machine, and not behind a proxy that says that the browser came by https."""
    bearer(app, "read")
    plain = {"base_url": "http://planner.example"}
    assert "over https alone" in Seen(browser.get("/sign-in", **plain)).text
    for way in ({"headers": {"X-Forwarded-Proto": "https"}, **plain}, {"base_url": "https://planner.example"}, {}):
        assert "over https alone" not in Seen(browser.get("/sign-in", **way)).text


def test_every_form_that_is_posted_carries_what_its_page_gives_it() -> None:
    """In every template, but for signing in and out, where there is nothing yet or nothing any more to protect."""
    folder = Path(blueprint.__file__).parent / "templates"
    forms = [
        (path.name, form)
        for path in folder.rglob("*.html")
        for form in re.findall(r'<form[^>]*method="post".*?</form>', path.read_text("utf-8"), re.DOTALL)
    ]
    assert len(forms) > 8
    assert [name for name, form in forms if '"/sign-' not in form and 'name="form-token"' not in form] == []
