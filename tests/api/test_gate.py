"""What every request and every answer goes through."""

from __future__ import annotations

import logging
import uuid

import pytest
from flask import Flask

from service.api.answers import json_answer
from tests.api.held_client import HeldClient


def test_the_callers_request_id_comes_back(client: HeldClient) -> None:
    """An id of letters, digits, dots, dashes and underscores is repeated."""
    assert client.get("/healthz", headers={"X-Request-ID": "ferrow-7.a_B"}).headers["X-Request-ID"] == "ferrow-7.a_B"


@pytest.mark.parametrize("sent", ["", "a b", 'a"b', "a\tb", "é", "a" * 129, "a;b=c"])
def test_an_id_that_could_harm_a_log_is_replaced(client: HeldClient, sent: str) -> None:
    """Anything else is not repeated; a fresh id takes its place."""
    given = client.get("/healthz", headers={"X-Request-ID": sent}).headers["X-Request-ID"]
    assert uuid.UUID(given).hex == given


def test_a_problem_names_the_request(client: HeldClient) -> None:
    """Its instance has the path and the id, by which the log can be searched."""
    problem = client.get("/v1/trays/absent", headers={"X-Request-ID": "ferrow-7"}).get_json()
    assert problem["instance"] == "/v1/trays/absent#request-ferrow-7"


@pytest.mark.parametrize("path", ["/healthz", "/nowhere", "/v1/trays", "/v1/trays?colour=blue", "/problems/stale"])
def test_browsers_are_told_to_do_nothing_with_an_answer(client: HeldClient, path: str) -> None:
    """Errors and routes that do not exist carry the same headers."""
    headers = client.get(path).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Content-Security-Policy"].startswith("default-src 'none'")
    assert headers["Referrer-Policy"] == "no-referrer"


def test_errors_are_not_kept_by_caches(client: HeldClient) -> None:
    """An error is of this moment; an answer may be kept and asked for again."""
    assert client.get("/nowhere").headers["Cache-Control"] == "no-store"
    assert client.get("/v1/trays").headers["Cache-Control"] == "no-cache"


def test_an_answer_that_is_chosen_by_accept_says_so(client: HeldClient) -> None:
    """Vary names Accept, also where the choice was to refuse."""
    assert client.get("/v1/trays").headers["Vary"] == "Accept"
    assert client.get("/v1/trays", headers={"Accept": "image/png"}).headers["Vary"] == "Accept"


def test_a_head_request_is_get_without_the_body(filled: HeldClient) -> None:
    """The same status and headers, Content-Length included, and no body."""
    head, get = filled.head("/v1/trays/ribbon-12"), filled.get("/v1/trays/ribbon-12")
    assert head.status_code == 200
    assert head.data == b""
    assert head.headers["ETag"] == get.headers["ETag"]
    assert head.headers["Content-Length"] == get.headers["Content-Length"]


@pytest.mark.parametrize("query", ["name=%80", "name=a%c3", "%ff=1", "limit=5&name=%ed%a0%80"])
def test_a_query_that_is_no_text_is_refused_and_not_read_as_another(client: HeldClient, query: str) -> None:
    """Bytes that are not UTF-8 (half of a letter, half of a surrogate pair) are not searched for as something else."""
    assert client.get(f"/v1/plans?{query}").get_json()["type"] == "/problems/bad-request"
    assert client.get("/v1/plans?name=%c3%a9%20%2525").status_code == 200


def test_options_says_what_an_address_takes(client: HeldClient) -> None:
    """OPTIONS is answered with Allow and nothing else."""
    response = client.options("/v1/trays/ribbon-12")
    assert set(response.headers["Allow"].split(", ")) == {"DELETE", "GET", "HEAD", "OPTIONS", "PUT"}
    assert response.data == b""


def test_an_answer_that_breaks_the_contract_is_counted_and_logged_and_not_failed(
    app: Flask, caplog: pytest.LogCaptureFixture
) -> None:
    """In production a wrong answer is better than none; the operator hears of it."""
    app.view_functions["about.read_health"] = lambda: json_answer({"status": "so-so"})
    app.test_client_class = None
    with caplog.at_level(logging.ERROR):
        response = app.test_client().get("/healthz")
    assert response.status_code == 200
    assert "getHealth 200" in caplog.text
    metrics = app.test_client().get("/metrics").get_data(as_text=True)
    assert 'traywright_contract_violations_total{operation="getHealth"} 1.0' in metrics


def test_requests_are_counted_by_operation_and_status(client: HeldClient) -> None:
    """The names are those of the description, so that no path of a caller's making becomes a label."""
    client.get("/v1/trays/absent")
    client.get("/no/such/address")
    metrics = client.get("/metrics").get_data(as_text=True)
    assert 'traywright_requests_total{operation="getTray",status="404"} 1.0' in metrics
    assert 'traywright_requests_total{operation="none",status="404"} 1.0' in metrics
    assert "such" not in metrics
