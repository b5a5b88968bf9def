"""The whole catalogue as one document: all of it or nothing."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from tests.api.held_client import HeldClient

NEW = {"If-None-Match": "*"}


def test_a_catalogue_is_put_read_and_put_again(client: HeldClient, catalogue: dict[str, Any]) -> None:
    """The first time by If-None-Match, then by the tag; the same document again changes nothing."""
    assert client.get("/v1/catalogue").headers["ETag"] == '"0"'
    first = client.put("/v1/catalogue", json=catalogue, headers=NEW)
    assert (first.status_code, first.headers["ETag"], first.get_json()["revision"]) == (200, '"1"', 1)
    assert len(first.get_json()["added"]) == sum(map(len, catalogue.values()))
    read = client.get("/v1/catalogue")
    again = client.put("/v1/catalogue", json=read.get_json(), headers={"If-Match": read.headers["ETag"]})
    assert (again.status_code, again.headers["ETag"]) == (200, '"1"')
    assert again.get_json()["added"] == again.get_json()["changed"] == []
    assert client.get("/v1/catalogue", headers={"If-None-Match": '"1"'}).status_code == 304


def test_an_empty_catalogue_can_be_put_by_its_tag(client: HeldClient, catalogue: dict[str, Any]) -> None:
    """Its revision is 0 until something is written."""
    assert client.put("/v1/catalogue", json=catalogue, headers={"If-Match": '"0"'}).status_code == 200


def test_a_catalogue_needs_its_precondition(filled: HeldClient, catalogue: dict[str, Any]) -> None:
    """None is 428; a stale tag, and creating what is there, are 412."""
    for headers, status in (({}, 428), ({"If-Match": '"0"'}, 412), (NEW, 412), ({"If-Match": 'W/"1"'}, 412)):
        assert filled.put("/v1/catalogue", json=catalogue, headers=headers).status_code == status


def test_one_wrong_entry_keeps_all_others_out(filled: HeldClient, catalogue: dict[str, Any]) -> None:
    """422 names every fault of every entry, and the catalogue stays as it was."""
    before = filled.get("/v1/catalogue").get_json()
    wrong = deepcopy(catalogue)
    wrong["sleeves"][0]["title"] = "Another title"
    wrong["closures"][0]["trays"][0]["tray"] = "absent"
    wrong["cables"][1]["method"] = "absent"
    response = filled.put("/v1/catalogue", json=wrong, headers={"If-Match": '"1"'})
    assert response.status_code == 422
    pointers = [error["pointer"] for error in response.get_json()["errors"]]
    assert pointers == ["/cables/1/method", "/closures/0/trays/0/tray"]
    assert filled.get("/v1/catalogue").get_json() == before


def test_what_is_left_out_is_removed_or_retired(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """An empty document removes what no plan used, and retires what one did."""
    assert filled.post("/v1/plans", json=handhole).status_code == 201
    change = filled.put("/v1/catalogue", json={}, headers={"If-Match": '"1"'}).get_json()
    assert "closures/dome-48" in change["retired"]
    assert not set(change["retired"]) & set(change["removed"])
    kept = filled.get("/v1/catalogue").get_json()
    assert all(entry["retired"] for section in kept.values() for entry in section)
