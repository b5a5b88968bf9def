"""Bodies that come packed with gzip: taken like any other, within the same limits, and never half."""

from __future__ import annotations

import gzip
import io
import json
import zlib
from typing import Any

import pytest
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st

from service.api.packed import MEMBER_COST, Unpacked
from service.api.problems import Problem
from service.app import create_app
from service.building.lines import LINES_MOST
from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.test_takeoffs import LINES, lines

PACKED = {"Content-Encoding": "gzip"}
JSON = "application/json"


def pack(content: bytes) -> bytes:
    """One gzip member without the time, so that it is the same in every run."""
    return gzip.compress(content, mtime=0)


def unpacked(packed: bytes, size: int = -1, most: int = 10_000_000, length: int | None = None) -> bytes:
    """What is read out of a packed stream, in pieces of this size or at once."""
    stream = Unpacked(io.BytesIO(packed), length, most)
    if size < 0:
        return stream.read()
    return b"".join(iter(lambda: stream.read(size), b""))


contents = st.one_of(st.binary(max_size=300), st.binary(min_size=1, max_size=4).map(lambda part: part * 20_000))


@given(st.lists(contents, min_size=1, max_size=4), st.sampled_from([-1, 1, 7, 1000, 65_536, 10**6]))
def test_what_was_packed_comes_out(parts: list[bytes], size: int) -> None:
    """Of one member or several, empty ones too, whatever is read at a time; the standard library's reader agrees."""
    if size == 1:
        parts = [part[:2000] for part in parts]
    packed = b"".join(map(pack, parts))
    assert unpacked(packed, size, length=len(packed)) == gzip.decompress(packed) == b"".join(parts)


@given(st.binary(max_size=200), st.data())
def test_what_is_not_whole_is_refused(content: bytes, data: st.DataObject) -> None:
    """Cut off anywhere, followed by anything, or with any byte of its sums or its packing changed."""
    packed = pack(content)
    cut = data.draw(st.integers(0, len(packed) - 1))
    changed = bytearray(packed)
    # The bytes 3 to 9 are flags, time and system: names and notes may stand there without changing what is packed.
    changed[data.draw(st.sampled_from([0, 1, 2, *range(len(packed) - 8, len(packed))]))] ^= data.draw(
        st.integers(1, 255)
    )
    for broken in (packed[:cut], packed + b"\0", packed + data.draw(st.binary(min_size=1, max_size=9)), bytes(changed)):
        with pytest.raises(Problem) as refused:
            unpacked(broken)
        assert (refused.value.status, refused.value.kind.slug) == (400, "badly-packed")


def test_a_stream_that_ends_between_two_members_is_not_whole() -> None:
    """What is left is in order in itself; that its sender has told more bytes is what gives it away."""
    one, other = pack(b"first\n"), pack(b"second\n")
    with pytest.raises(Problem, match="breaks off"):
        unpacked(one, length=len(one + other))


def test_the_limit_is_of_what_comes_out() -> None:
    """As many bytes pass, one more does not, and how little came in makes no difference."""
    assert len(unpacked(pack(b" " * 5000), most=5000)) == 5000
    with pytest.raises(Problem, match="at most 5000 bytes here, unpacked") as refused:
        unpacked(pack(b" " * 5001), most=5000)
    assert refused.value.status == 413


def test_empty_members_are_not_free() -> None:
    """A body of nothing but empty members ends at the limit as well."""
    empty = pack(b"")
    assert unpacked(empty * 4, most=3 * MEMBER_COST) == b""
    with pytest.raises(Problem, match="at most"):
        unpacked(empty * 5, most=3 * MEMBER_COST)


@pytest.mark.parametrize("coding", ["gzip", "GZIP", "x-gzip", "identity, gzip", " gzip "])
def test_a_packed_request_is_planned_like_any_other(filled: HeldClient, handhole: dict[str, Any], coding: str) -> None:
    """The same plan, under every way of writing the coding's name."""
    plain = filled.post("/v1/plans?store=false", json=handhole)
    body = pack(json.dumps(handhole).encode())
    packed = filled.post("/v1/plans?store=false", data=body, content_type=JSON, headers={"Content-Encoding": coding})
    assert packed.status_code == 200
    assert packed.get_json() == plain.get_json()


def test_a_body_is_the_same_packed_or_not(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Sent again under its key in the other form, a plan or a takeoff gets the answer that it had."""
    key = {"Idempotency-Key": "once"}
    first = filled.post("/v1/plans", json=handhole, headers=key)
    body = pack(json.dumps(handhole).encode())
    again = filled.post("/v1/plans", data=body, content_type=JSON, headers={**key, **PACKED})
    assert again.headers["Idempotent-Replayed"] == "true" and again.get_json() == first.get_json()
    key = {"Idempotency-Key": "twice"}
    sent = lines([handhole, {**handhole, "name": "Another"}])
    first = filled.post("/v1/takeoffs", data=pack(sent), content_type=LINES, headers={**key, **PACKED})
    again = filled.post("/v1/takeoffs", data=sent, content_type=LINES, headers=key)
    assert (first.status_code, again.status_code) == (202, 202)
    assert again.headers["Location"] == first.headers["Location"]
    assert filled.get(first.headers["Location"]).get_json()["points"]["total"] == 2


@pytest.mark.parametrize("coding", ["br", "deflate", "zstd", "compress", "gzip, gzip", "br, gzip", "*"])
@pytest.mark.parametrize("path", ["/v1/plans", "/v1/takeoffs"])
def test_other_codings_are_refused_with_what_is_taken(client: HeldClient, coding: str, path: str) -> None:
    """415 with Accept-Encoding, as RFC 9110 has it (section 12.5.3)."""
    refused = client.post(path, data=b"{}", content_type=JSON, headers={"Content-Encoding": coding})
    assert refused.status_code == 415
    assert refused.headers["Accept-Encoding"] == "gzip" and "Accept" not in refused.headers


def test_another_media_type_is_not_taken_for_a_question_of_coding(client: HeldClient) -> None:
    """415 with Accept, and without Accept-Encoding, which RFC 9110 forbids then (section 12.5.3)."""
    refused = client.post("/v1/takeoffs", data=pack(b"{}"), content_type="text/plain", headers=PACKED)
    assert refused.status_code == 415
    assert refused.headers["Accept"] == "application/json, application/x-ndjson"
    assert "Accept-Encoding" not in refused.headers


@pytest.mark.parametrize("body", [b"", b"{}", pack(b"{}")[:-1], pack(b"{}") + b"{}", zlib.compress(b"{}")])
@pytest.mark.parametrize("media_type", [JSON, LINES])
def test_what_cannot_be_unpacked_is_told(client: HeldClient, body: bytes, media_type: str) -> None:
    """400 of its own kind, and nothing of a takeoff is left."""
    refused = client.post("/v1/takeoffs", data=body, content_type=media_type, headers=PACKED)
    assert refused.status_code == 400
    assert refused.get_json()["type"] == "/problems/badly-packed"
    assert client.get("/v1/takeoffs").get_json()["items"] == []


def test_a_takeoff_that_ends_in_rubbish_leaves_nothing(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Thousands of good points before it were stored in batches already, and go again."""
    packed = pack(lines([{**handhole, "name": f"Point {number}"} for number in range(1200)]))
    refused = filled.post("/v1/takeoffs", data=packed[:-4], content_type=LINES, headers=PACKED)
    assert refused.status_code == 400
    assert filled.get("/v1/takeoffs").get_json()["items"] == []


@pytest.mark.parametrize(
    ("path", "media_type", "most"),
    [
        ("/v1/plans", JSON, 20_000),
        ("/v1/takeoffs", JSON, 80_000),
        ("/v1/takeoffs", LINES, 200_000),
        ("/v1/installations/{id}/splice-records", JSON, 20_000),
    ],
)
def test_what_comes_out_has_the_limits_of_what_comes_in(
    store: Store, catalogue: dict[str, Any], handhole: dict[str, Any], path: str, media_type: str, most: int
) -> None:
    """413 at the limit that holds for that very body, and the answer names it."""
    client = limited(store).test_client()
    client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"})
    plan = client.post("/v1/plans", json=handhole).get_json()
    hung = client.post("/v1/installations", json={"plan": plan["id"]}).get_json()
    bomb = pack(b" " * 5_000_000)
    refused = client.post(path.format(id=hung["id"]), data=bomb, content_type=media_type, headers=PACKED)
    assert refused.status_code == 413
    assert refused.get_json()["detail"] == f"A body has at most {most} bytes here, unpacked."


def limited(store: Store) -> Flask:
    made = create_app(Settings(body_limit=20_000, takeoff_limit=200_000), store)
    made.test_client_class = HeldClient
    return made


def test_blank_lines_without_end_are_refused(client: HeldClient) -> None:
    """A million of them pack into a thousand bytes: the takeoff ends at the limit of lines, blank or not."""
    body = pack(b"\n" * (LINES_MOST + 1))
    assert len(body) < 2000
    refused = client.post("/v1/takeoffs", data=body, content_type=LINES, headers=PACKED)
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["code"] == "too_many"
