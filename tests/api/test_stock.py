"""The stock over HTTP."""

from __future__ import annotations

import pytest

from tests.api.held_client import HeldClient

FIRST = {"If-None-Match": "*"}


def test_an_item_is_put_in_stock_and_counted_anew(filled: HeldClient) -> None:
    """201 says where it is; the tag of what was read is asked for the second time."""
    made = filled.put("/v1/stock/rs-12", json={"on_hand": 500}, headers=FIRST)
    assert (made.status_code, made.headers["ETag"]) == (201, '"1"')
    assert made.get_json() == filled.get(made.headers["Location"]).get_json()
    assert filled.put("/v1/stock/rs-12", json={"on_hand": 480.25}, headers={"If-Match": '"1"'}).status_code == 200
    assert filled.get("/v1/stock/rs-12").get_json() == {
        "kind": "sleeve", "item": "rs-12", "on_hand": 480.25, "held": 0, "available": 480.25, "revision": 2,
    }  # fmt: skip


def test_what_was_read_can_be_sent_back(filled: HeldClient) -> None:
    """The members that only answers have are taken and ignored; the same count is no new revision."""
    made = filled.put("/v1/stock/rs-12", json={"on_hand": 500}, headers=FIRST)
    again = filled.put("/v1/stock/rs-12", json=made.get_json(), headers={"If-Match": made.headers["ETag"]})
    assert (again.status_code, again.headers["ETag"]) == (200, made.headers["ETag"])


def test_a_count_without_a_view_is_refused(filled: HeldClient) -> None:
    """428 without a precondition, 412 with one that does not hold."""
    assert filled.put("/v1/stock/rs-12", json={"on_hand": 1}).status_code == 428
    assert filled.put("/v1/stock/rs-12", json={"on_hand": 1}, headers={"If-Match": "*"}).status_code == 412
    filled.put("/v1/stock/rs-12", json={"on_hand": 1}, headers=FIRST)
    assert filled.put("/v1/stock/rs-12", json={"on_hand": 2}, headers=FIRST).status_code == 412
    assert filled.put("/v1/stock/rs-12", json={"on_hand": 2}, headers={"If-Match": '"9"'}).status_code == 412


def test_an_item_that_does_not_exist_cannot_be_in_stock(filled: HeldClient) -> None:
    """404, as long as the catalogue has no such code."""
    assert filled.put("/v1/stock/absent", json={"on_hand": 1}, headers=FIRST).status_code == 404
    assert filled.get("/v1/stock/absent").status_code == 404
    assert filled.get("/v1/stock/rs-12").status_code == 404
    assert filled.put("/v1/stock/drop-24", json={"on_hand": 1}, headers=FIRST).status_code == 404


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "/on_hand"),
        ({"on_hand": -1}, "/on_hand"),
        ({"on_hand": "5"}, "/on_hand"),
        ({"on_hand": 1, "item": "ss-1"}, "/item"),
        ({"on_hand": 1, "kind": "drop"}, "/kind"),
    ],
)
def test_a_faulty_count_is_pointed_at(filled: HeldClient, body: dict[str, object], pointer: str) -> None:
    """Nothing is counted then."""
    refused = filled.put("/v1/stock/rs-12", json=body, headers=FIRST)
    assert (refused.status_code, refused.get_json()["errors"][0]["pointer"]) == (422, pointer)
    assert filled.get("/v1/stock").get_json()["items"] == []


def test_a_code_of_two_kinds_needs_the_kind(filled: HeldClient) -> None:
    """400 says which there are; with the kind each is counted for itself."""
    tray = filled.get("/v1/trays/ribbon-12").get_json()
    filled.put("/v1/trays/rs-12", json={**tray, "code": "rs-12"}, headers=FIRST)
    refused = filled.put("/v1/stock/rs-12", json={"on_hand": 1}, headers=FIRST)
    assert refused.status_code == 400
    assert "sleeve or tray" in refused.get_json()["errors"][0]["detail"]
    made = filled.put("/v1/stock/rs-12?kind=tray", json={"on_hand": 1}, headers=FIRST)
    assert made.status_code == 201
    assert filled.get(made.headers["Location"]).get_json()["kind"] == "tray"
    assert filled.put("/v1/stock/rs-12", json={"on_hand": 2, "kind": "sleeve"}, headers=FIRST).status_code == 201
    assert [each["kind"] for each in filled.get("/v1/stock").get_json()["items"]] == ["sleeve", "tray"]


def test_the_stock_is_listed_page_by_page(filled: HeldClient) -> None:
    """By code, and by kind where that is asked."""
    for code in ("rs-12", "oval-seal", "dome-48"):
        filled.put(f"/v1/stock/{code}", json={"on_hand": 3}, headers=FIRST)
    first = filled.get("/v1/stock?limit=2")
    assert [each["item"] for each in first.get_json()["items"]] == ["dome-48", "oval-seal"]
    second = filled.get(first.headers["Link"].partition("<")[2].partition(">")[0]).get_json()
    assert ([each["item"] for each in second["items"]], second["next"]) == (["rs-12"], None)
    assert [each["item"] for each in filled.get("/v1/stock?kind=material").get_json()["items"]] == ["oval-seal"]


def test_a_level_that_the_caller_has_is_not_sent_again(filled: HeldClient) -> None:
    """304 for the tag that it has."""
    etag = filled.put("/v1/stock/rs-12", json={"on_hand": 500}, headers=FIRST).headers["ETag"]
    assert filled.get("/v1/stock/rs-12", headers={"If-None-Match": etag}).status_code == 304
