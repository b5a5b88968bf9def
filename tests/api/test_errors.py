"""Every error is a problem document and says nothing of the inside."""

from __future__ import annotations

import logging
from typing import Any

import pytest
from flask import Flask

from service.api.problem_kinds import KINDS
from service.api.problems import FAULTS_SHOWN, refused
from service.domain.faults import Fault
from tests.api.held_client import HeldClient


def assert_problem(response: Any, status: int, slug: str) -> dict[str, Any]:
    """A problem document of this status and kind, whose type leads to a page."""
    assert response.status_code == status, response.get_data(as_text=True)
    assert response.content_type == "application/problem+json"
    problem: dict[str, Any] = response.get_json()
    assert problem["type"] == f"/problems/{slug}"
    assert problem["status"] == status
    return problem


@pytest.mark.parametrize(
    "path", ["/nowhere", "/v1", "/v1/plans/", "/v1//plans", "/v1/trays/a/b", "/v1/trays/a%2Fb", "/%00", "/é"]
)
def test_an_address_that_does_not_exist_is_told_as_a_problem(client: HeldClient, path: str) -> None:
    """No HTML and no redirection, whatever the address."""
    assert_problem(client.get(path), 404, "not-found")


def test_a_method_that_an_address_does_not_take_is_told_with_allow(client: HeldClient) -> None:
    """405 lists the methods in Allow."""
    response = client.patch("/v1/plans")
    assert_problem(response, 405, "method-not-allowed")
    assert set(response.headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS", "POST"}


def test_what_nobody_expected_is_logged_whole_and_told_as_nothing(app: Flask, caplog: pytest.LogCaptureFixture) -> None:
    """500 has no traceback, no message, no name of the inside; the log has the traceback and the request id."""

    def broken() -> None:
        raise KeyError("secret-of-the-inside")

    app.view_functions["about.read_health"] = broken
    with caplog.at_level(logging.ERROR):
        response = app.test_client().get("/healthz", headers={"X-Request-ID": "case-1"})
    assert_problem(response, 500, "internal")
    assert "secret" not in response.get_data(as_text=True)
    assert "KeyError" not in response.get_data(as_text=True)
    assert "case-1" in caplog.text
    assert "secret-of-the-inside" in caplog.text
    assert "Traceback" in caplog.text


@pytest.mark.parametrize(
    ("content_type", "encoding", "accepted"),
    [
        ("application/json", None, True),
        ("application/json; charset=utf-8", None, True),
        ('APPLICATION/JSON;Charset="UTF-8"', None, True),
        ("application/json", "identity", True),
        ("application/json; charset=latin-1", None, False),
        ("text/json", None, False),
        ("application/problem+json", None, False),
        ("application/x-www-form-urlencoded", None, False),
        (None, None, False),
        ("application/json", "br", False),
    ],
)
def test_only_json_in_utf8_is_a_body(
    filled: HeldClient, handhole: dict[str, Any], content_type: str | None, encoding: str | None, accepted: bool
) -> None:
    """Other media types, charsets and content encodings are 415."""
    import json

    headers = {"Content-Encoding": encoding} if encoding else {}
    response = filled.post("/v1/fit-checks", data=json.dumps(handhole), content_type=content_type, headers=headers)
    if accepted:
        assert response.status_code == 200
    else:
        assert_problem(response, 415, "unsupported-media-type")


def test_a_body_one_byte_over_the_limit_is_refused(client: HeldClient, app: Flask) -> None:
    """The limit itself passes as far as its contents; one byte more is 413 and names the limit."""
    limit = app.config["MAX_CONTENT_LENGTH"]
    at_limit = b'{"a": "' + b"x" * (limit - 9) + b'"}'
    assert len(at_limit) == limit
    assert_problem(client.post("/v1/plans", data=at_limit, content_type="application/json"), 422, "refused")
    over = client.post("/v1/plans", data=at_limit + b" ", content_type="application/json")
    assert str(limit) in assert_problem(over, 413, "too-large")["detail"]


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[NaN]", b'{"a":1,"a":2}', b"[" * 100_000, b'["\\ud800"]', b"\xff", b"[1e400]"]
)
def test_a_malformed_body_is_400_and_says_why(client: HeldClient, body: bytes) -> None:
    """A code for machines is in the errors, at the pointer of the whole body."""
    problem = assert_problem(
        client.post("/v1/plans", data=body, content_type="application/json"), 400, "malformed-json"
    )
    assert [error["pointer"] for error in problem["errors"]] == [""]


def test_all_parameters_that_are_wrong_are_named(client: HeldClient) -> None:
    """Unknown, out of range, given twice and not of the type: one answer tells all."""
    response = client.get("/v1/plans?limit=501&fits=yes&colour=blue&name=a&name=b&created_from=yesterday&closure=a%0A")
    problem = assert_problem(response, 400, "bad-parameter")
    assert {(error["parameter"], error["code"]) for error in problem["errors"]} == {
        ("limit", "value"),
        ("fits", "type"),
        ("colour", "unknown_parameter"),
        ("name", "given_twice"),
        ("created_from", "value"),
        ("closure", "value"),
    }


@pytest.mark.parametrize(
    "query",
    [
        "limit=0",
        "limit=1.5",
        "limit=",
        "limit=9" + "9" * 30,
        "limit=%EF%BC%91",
        "cursor=a%20b",
        "cursor=AAAA",
        "created_from=2026-12-31T23:59:60Z",
        "created_from=0001-01-01T00:00:00%2B23:00",
        "created_from=2026-13-01T00:00:00Z",
    ],
)
def test_a_parameter_out_of_range_is_400(client: HeldClient, query: str) -> None:
    """Nothing of a caller's making gets as far as a 500."""
    assert_problem(client.get(f"/v1/plans?{query}"), 400, "bad-parameter")


def test_faults_without_end_are_not_all_told() -> None:
    """A thousand are named, and the sentence says how many there are."""
    faults = [Fault(f"/joints/{index}", "range", "It runs backwards.") for index in range(FAULTS_SHOWN + 1)]
    document = refused(faults).document("/v1/plans#request-1")
    assert len(document["errors"]) == FAULTS_SHOWN
    assert str(FAULTS_SHOWN + 1) in document["detail"]


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_the_type_of_a_problem_leads_to_its_explanation(client: HeldClient, kind: Any) -> None:
    """Each kind has a page for people."""
    response = client.get(f"/problems/{kind.slug}")
    assert response.status_code == 200
    assert response.content_type == "text/html; charset=utf-8"
    assert kind.title in response.get_data(as_text=True)
