"""Takeoffs on pages: sent as a file, watched, read."""

from __future__ import annotations

import io
from contextlib import closing, suppress
from http.client import HTTPConnection
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.live_server import free_port, served
from tests.api.sent_takeoffs import finished, lines, sent, work
from tests.pages.seen import SAME, Seen


def file_of(content: bytes, name: str = "build.ndjson") -> dict[str, Any]:
    """A form with a file."""
    return {"points": (io.BytesIO(content), name), "name": ""}


def test_a_file_is_received_as_the_api_receives_lines(
    browser: FlaskClient, filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """The takeoff has the file's name, its bad line is told with its number, its totals are those of the API."""
    answer = browser.post("/takeoffs", data=file_of(lines([handhole, b"no json", handhole])), headers=SAME)
    assert answer.status_code == 303
    address = answer.headers["Location"]
    begun = Seen(browser.get(address))
    assert "build.ndjson" in begun.text and "1 of 3 splice points done" in begun.text and "Line 2" in begun.text
    work(store)
    page, document = Seen(browser.get(address)), filled.get(f"/v1{address}").get_json()
    assert "Finished" in page.text and f"dome-48{document['totals']['closures'][0]['points']}" in page.text
    for link in [each["href"] for each in page.all("a") if each.get("href", "").startswith("/v1/")]:
        assert browser.get(link).status_code == 200


@pytest.mark.parametrize("content", [None, b"", b" \n\n "], ids=["no file", "empty", "blank"])
def test_a_form_without_splice_points_is_told_so(
    browser: FlaskClient, filled: HeldClient, content: bytes | None
) -> None:
    """422 with the sentence beside the field, and no takeoff is begun."""
    answer = browser.post("/takeoffs", data={} if content is None else file_of(content), headers=SAME)
    assert answer.status_code == 422 and Seen(answer).by_id("points")["aria-invalid"] == "true"
    assert filled.get("/v1/takeoffs").get_json()["items"] == []


def test_a_file_may_be_larger_than_any_other_form(
    app: Flask, filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """Through the real server: 3 MB of splice points are received, while 3 MB sent to another page are refused."""
    settings = Settings(port=free_port())
    content = lines([handhole, (b" " * 60 + b"\n") * 50_000, handhole])
    parts = [
        b"--cut",
        b'Content-Disposition: form-data; name="points"; filename="big.ndjson"',
        b"",
        content,
        b"--cut--",
        b"",
    ]
    body = b"\r\n".join(parts)
    headers = {"Content-Type": "multipart/form-data; boundary=cut", "Sec-Fetch-Site": "same-origin"}
    statuses = {}
    with served(app, settings):
        for path in ("/takeoffs", "/fit"):
            with closing(HTTPConnection("127.0.0.1", settings.port, timeout=30)) as connection:
                # What is refused by its length is answered before it has all been sent.
                with suppress(BrokenPipeError, ConnectionResetError):
                    connection.request("POST", path, body, headers)
                answer = connection.getresponse()
                statuses[path] = answer.status
                answer.read()
    assert statuses == {"/takeoffs": 303, "/fit": 413}
    assert filled.get("/v1/takeoffs").get_json()["items"][0]["points"]["total"] == 2


def test_a_takeoff_at_work_is_watched_without_script_until_told_not_to(
    browser: FlaskClient, filled: HeldClient, handhole: dict[str, Any]
) -> None:
    """The browser loads the page again while it is at work; one link stops that, another lets it go on."""
    id = sent(filled, [handhole]).get_json()["id"]
    page = Seen(browser.get(f"/takeoffs/{id}"))
    assert [each["content"] for each in page.all("meta") if each.get("http-equiv") == "refresh"] == ["5"]
    assert page.all("progress") == [{"aria-label": "Splice points done", "max": "1", "value": "0"}]
    stopped = Seen(browser.get(f"/takeoffs/{id}?watch=no"))
    assert not [each for each in stopped.all("meta") if each.get("http-equiv")] and not stopped.all("script")


def test_a_finished_takeoff_is_not_loaded_again(
    browser: FlaskClient, filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """There is nothing left to watch; the list says that it is finished."""
    id = finished(filled, store, [handhole], "?name=Quay")
    page = Seen(browser.get(f"/takeoffs/{id}"))
    assert not [each for each in page.all("meta") if each.get("http-equiv")] and not page.all("script")
    assert "Quay" in Seen(browser.get("/takeoffs?name=qua")).text
