"""A takeoff whose sender broke off is no takeoff: half a build, planned and ordered, looks like a whole one."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import orjson
import pytest

from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import LINES

UNCOUNTED = {"wsgi.input_terminated": True}
"""A server that ends the body where the connection ends, and leaves counting it to the application."""


@pytest.mark.parametrize("query", ["", "?strict=true"])
@pytest.mark.parametrize("environ", [{}, UNCOUNTED], ids=["counting server", "uncounting server"])
def test_a_body_that_broke_off_between_two_lines_leaves_nothing(
    filled: HeldClient, handhole: dict[str, Any], environ: dict[str, Any], query: str
) -> None:
    """Every line that came is in order, and yet the takeoff is refused: more bytes were announced than came."""
    came = orjson.dumps(handhole) + b"\n"
    answer = filled.post(
        f"/v1/takeoffs{query}",
        input_stream=BytesIO(came),
        content_type=LINES,
        environ_overrides={**environ, "CONTENT_LENGTH": str(2 * len(came))},
    )
    assert answer.status_code == 400
    assert answer.get_json()["type"] == "/problems/bad-request"
    assert filled.get("/v1/takeoffs").get_json()["items"] == []


def test_a_repeat_that_broke_off_is_not_taken_for_another_body(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Its key is right and its body is not there: that is told, and not that the key belongs to something else."""
    line = orjson.dumps(handhole) + b"\n"
    key = {"Idempotency-Key": "once"}
    assert filled.post("/v1/takeoffs", data=line, content_type=LINES, headers=key).status_code == 202
    answer = filled.post(
        "/v1/takeoffs",
        input_stream=BytesIO(line[:-9]),
        content_type=LINES,
        headers=key,
        environ_overrides={**UNCOUNTED, "CONTENT_LENGTH": str(len(line))},
    )
    assert answer.status_code == 400
    assert answer.get_json()["type"] == "/problems/bad-request"


def test_a_body_of_unknown_length_is_not_read(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Where the server passes chunks on without a length, nobody could tell whether all of them came."""
    answer = filled.post(
        "/v1/takeoffs",
        input_stream=BytesIO(orjson.dumps(handhole)),
        content_type=LINES,
        headers={"Transfer-Encoding": "chunked"},
        environ_overrides={**UNCOUNTED, "CONTENT_LENGTH": ""},
    )
    assert answer.status_code == 411
    assert answer.get_json()["type"] == "/problems/length-required"
    assert filled.get("/v1/takeoffs").get_json()["items"] == []


@pytest.mark.parametrize("path", ["/v1/takeoffs.csv", "/v1/catalogue.csv?section=sleeves"])
def test_half_a_file_that_came_in_chunks_is_not_taken_for_the_whole(filled: HeldClient, path: str) -> None:
    """Servers read no further than the limit, and the part before it can look like a file of its own."""
    row = b"code,title\n" if "section" in path else b"name\n"
    answer = filled.post(
        path,
        input_stream=BytesIO(row + b"\n" * 40 * 1024 * 1024),
        content_type="text/csv",
        headers={"Transfer-Encoding": "chunked"},
        environ_overrides={**UNCOUNTED, "CONTENT_LENGTH": ""},
    )
    assert answer.status_code == 413
    assert answer.get_json()["type"] == "/problems/too-large"


def test_a_takeoff_cancelled_while_it_came_is_told_so_to_its_sender(
    filled: HeldClient, store: Store, handhole: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody saw it in the list and cancelled it: the sender is not told that the address is wrong."""
    add_batch = store.takeoffs.add_batch

    def cancelled_before(takeoff_id: str, *batch: Any) -> None:
        assert filled.delete(f"/v1/takeoffs/{takeoff_id}", headers={"If-Match": "*"}).status_code == 204
        add_batch(takeoff_id, *batch)

    monkeypatch.setattr(store.takeoffs, "add_batch", cancelled_before)
    answer = filled.post("/v1/takeoffs", data=orjson.dumps(handhole), content_type=LINES)
    assert answer.status_code == 410
    assert answer.get_json()["type"] == "/problems/cancelled"
