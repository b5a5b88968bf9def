"""What a browser is told not to do, and what other sites cannot do with a visitor's browser."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.pages.assets import MARK, SCRIPT, STYLE
from tests.api.held_client import HeldClient
from tests.pages.seen import SAME, Seen
from tests.pages.test_fit import HANDHOLE

PAGES = ("/", "/fit", "/plans", "/catalogue", "/catalogue/cables", "/catalogue/cables/flat-288", "/takeoffs", "/orders")
ALL_PAGES = (*PAGES, "/stock", "/plans/none", "/catalogue/none", "/orders/none", "/takeoffs/none", "/assets/none.css")
HUNG = ("/installations", "/records")
HUNG_LOST = tuple(
    f"/installations/none{part}" for part in ("", "/fit", "/label", "/remove", "/give-up", "/records", "/place")
)
FORMS = ("/fit", "/takeoffs", "/orders", "/orders/none/state", "/plans/none/hang", "/plans/none/done")
FORMS += tuple(f"/installations/none/{part}" for part in ("fit", "remove", "give-up", "records", "place"))


def test_every_page_is_small_and_closed_to_what_it_does_not_bring(browser: FlaskClient) -> None:
    """Under 30 kB; a policy that lets in own styles, pictures and script alone; nothing written into elements."""
    for path in (*ALL_PAGES, *HUNG, *HUNG_LOST):
        answer = browser.get(path)
        assert answer.status_code == (404 if "none" in path else 200)
        policy = answer.headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'; ") and "unsafe" not in policy
        for rule in ("style-src 'self'", "script-src 'self'", "form-action 'self'", "frame-ancestors 'none'"):
            assert rule in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff" and "Permissions-Policy" in answer.headers
        assert answer.headers["Referrer-Policy"] == "same-origin"
        assert len(answer.get_data()) < 30_000
        page = Seen(answer)
        assert [
            name for _, attributes in page.elements for name in attributes if name == "style" or name[:2] == "on"
        ] == []
        assert not page.all("style") and all("src" in each for each in page.all("script"))


def test_style_script_and_mark_are_kept_for_a_year_at_paths_of_their_content(browser: FlaskClient) -> None:
    """The path has a hash of the bytes, so that it can be kept; another hash is not found. Script is 2 kB at most."""
    for asset in (STYLE, SCRIPT, MARK):
        answer = browser.get(asset.path)
        assert answer.status_code == 200 and answer.get_data() == asset.content
        assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
        assert re.fullmatch(r"/assets/[a-z]+-[0-9a-f]{12}\.(css|js|svg)", asset.path)
    assert len(SCRIPT.content) <= 2048
    assert browser.get(STYLE.path.replace("style-", "style-0")).status_code == 404


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Origin": "https://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": "http://localhost", "Sec-Fetch-Site": "cross-site"},
        {"Origin": "http://localhost", "Sec-Fetch-Site": "same-site"},
        {"Origin": "http://localhost:81"},
        {"Origin": "http://["},
        {"Origin": "http://localhost.elsewhere.example"},
    ],
    ids=lambda headers: "-".join(headers.values()) or "none",
)
def test_forms_of_other_sites_change_nothing(browser: FlaskClient, filled: HeldClient, headers: dict[str, str]) -> None:
    """A form that is not known to come from a page of this server is 403, and nothing is stored."""
    for path in FORMS:
        answer = browser.post(path, data=HANDHOLE, headers=headers)
        assert answer.status_code == 403 and "nothing was changed" in Seen(answer).text
    assert filled.get("/v1/plans").get_json()["items"] == []


def test_forms_of_our_own_pages_are_taken(browser: FlaskClient) -> None:
    """By what the browser says of the site where it says so, behind a proxy too; else by the origin."""
    for headers in (SAME, {"Sec-Fetch-Site": "same-origin", "Origin": "https://planner.example"}):
        assert browser.post("/fit", data=HANDHOLE, headers=headers).status_code == 303


def test_names_are_words_and_never_markup(
    browser: FlaskClient, filled: HeldClient, handhole: dict[str, Any], catalogue: dict[str, Any]
) -> None:
    """A name, a tag, a label and a title with markup in them stand on the pages as they were written."""
    name = "<script>alert('x')</script>\"><b onclick=x>"
    handhole["name"], handhole["joints"][1]["keep_apart"] = name, name
    for each in (handhole["cables"][0], handhole["joints"][0]["from"], handhole["joints"][1]["from"]):
        each["tag" if "tag" in each else "cable"] = "<i>A</i>"
    plan = filled.post("/v1/plans", json=handhole).get_json()
    said = {"plan": plan["id"], "place": name, "by": name, "note": name}
    hung = f"/installations/{filled.post('/v1/installations', json=said).get_json()['id']}"
    tag = "<i>A</i>"
    hanging = ("", "/fit", "/label", "/remove", "/remove?splices=1-2", f"/give-up?cable={tag}", "/records", "/place")
    entry = {**catalogue["cables"][0], "code": "odd", "title": name}
    assert filled.put("/v1/cables/odd", json=entry, headers={"If-None-Match": "*"}).status_code == 201
    paths = ("/", "/plans", f"/plans/{plan['id']}", "/catalogue/cables/odd", "/catalogue/cables")
    paths += ("/installations", f"/plans/{plan['id']}/hang", *(f"{hung}{part}" for part in hanging))
    for path in (*paths, f"/plans?name={name}", f"/fit?name={name}&tag-1={name}&cable-1={name}&closure={name}"):
        answer = browser.get(path)
        page = Seen(answer)
        assert "<script>alert" not in answer.get_data(as_text=True) and "<i>A" not in answer.get_data(as_text=True)
        assert all("onclick" not in attributes for _, attributes in page.elements)


def test_an_address_that_does_not_exist_is_told_to_people_as_a_page_and_to_programs_as_a_problem(
    browser: FlaskClient,
) -> None:
    """By Accept, and under /v1 always as a problem document."""
    lost = browser.get("/nowhere", headers={"Accept": "text/html,*/*;q=0.8"})
    assert lost.status_code == 404 and "There is no such thing" in Seen(lost).text
    assert "Content-Security-Policy" in lost.headers
    wrong = browser.get("/orders/none/state", headers={"Accept": "text/html"})
    assert wrong.status_code == 405 and wrong.headers["Allow"] and Seen(wrong).all("h1")
    assert browser.get("/nowhere").mimetype == "application/problem+json"
    api = browser.get("/v1/nowhere", headers={"Accept": "text/html"})
    assert api.status_code == 404 and api.mimetype == "application/problem+json"


def test_a_failure_of_ours_says_nothing_of_the_inside(browser: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever breaks, the page is a 500 with the id of the request."""
    monkeypatch.setattr("service.pages.stock.level_to", lambda level: 1 / 0)
    monkeypatch.setattr("service.pages.stock.PER_PAGE", "secret")
    answer = browser.get("/stock", headers={"X-Request-ID": "lookup-7"})
    page = Seen(answer)
    assert answer.status_code == 500 and "lookup-7" in page.text and "secret" not in page.text
