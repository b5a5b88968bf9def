"""Lines of a takeoff that are no splice points: each is told with its line and why, and stops no other."""

from __future__ import annotations

from typing import Any

import orjson
import pytest

from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import LINES

DEEP = b"[" * 100 + b"]" * 100
BAD_LINES = {
    "bad UTF-8": (b'{"name": "\xff"}', "encoding"),
    "a byte-order mark": (b"\xef\xbb\xbf{}", "byte_order_mark"),
    "no JSON": (b"{'name': 1}", "syntax"),
    "half a document": (b'{"cables": [', "syntax"),
    "two documents": (b"{} {}", "syntax"),
    "NaN": (b'{"cables": NaN}', "number"),
    "a number that overflows": (b'{"cables": 1e999}', "number"),
    "a name twice": (b'{"name": "a", "name": "b"}', "duplicate_name"),
    "too many levels": (DEEP, "depth"),
    "very many levels": (b"[" * 100_000, "depth"),
    "half a surrogate pair": (b'{"name": "\\ud800"}', "surrogate"),
    "an array": (b"[]", "type"),
    "a number": (b"7", "type"),
    "null": (b"null", "type"),
}


@pytest.mark.parametrize(("line", "code"), BAD_LINES.values(), ids=list(BAD_LINES))
def test_a_bad_line_is_told_and_the_rest_goes_on(
    filled: HeldClient, handhole: dict[str, Any], line: bytes, code: str
) -> None:
    """Lines end with a line feed, before which a carriage return may stand."""
    good = orjson.dumps(handhole)
    answer = filled.post("/v1/takeoffs", data=b"\r\n".join([good, b"", line, good]), content_type=LINES)
    assert answer.status_code == 202
    told = answer.get_json()
    assert told["points"]["total"] == 3 and told["demands"]["total"] == 1
    assert [(each["place"], each["line"], each["faults"][0]["code"]) for each in told["faulty"]] == [(2, 3, code)]


def test_every_fault_of_a_splice_point_has_a_pointer_into_it(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """The same faults as a plan request with them is refused for."""
    wrong = {**handhole, "colour": "blue", "crew": {"technicians": 0}, "cables": [{"tag": "", "cable": "-"}]}
    refused = filled.post("/v1/plans", json=wrong).get_json()["errors"]
    answer = filled.post("/v1/takeoffs", data=orjson.dumps({**wrong, "tags": {"": "x"}}), content_type=LINES)
    faults = answer.get_json()["faulty"][0]["faults"]
    assert [fault for fault in faults if not fault["pointer"].startswith("/tags")] == refused
    assert [fault["pointer"] for fault in faults if fault["pointer"].startswith("/tags")] == ["/tags/"]


def test_more_splice_points_than_a_takeoff_may_have_are_refused(
    filled: HeldClient, handhole: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing of it stays."""
    monkeypatch.setattr("service.building.reading.Reading.__init__.__defaults__", (None, 3))
    answer = filled.post("/v1/takeoffs", data=b"\n".join([orjson.dumps(handhole)] * 4), content_type=LINES)
    assert answer.status_code == 422 and answer.get_json()["errors"][0]["code"] == "too_many"
    assert filled.get("/v1/takeoffs").get_json()["items"] == []
