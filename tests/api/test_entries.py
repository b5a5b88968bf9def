"""The catalogue's sections: entries created, replaced, retired, listed."""

from __future__ import annotations

from typing import Any

import pytest

from service.domain.catalogue import KINDS
from tests.api.held_client import HeldClient

TRAY = {
    "code": "t-1",
    "title": "Tray",
    "pitch_mm": 10,
    "banks": [{"count": 1, "slots": {"single": 12}}],
    "turn_mm": 400,
    "bend_radius_mm": 30,
}
NEW = {"If-None-Match": "*"}


def put(client: HeldClient, document: dict[str, Any], headers: dict[str, str]) -> Any:
    """Put a tray at its code."""
    return client.put(f"/v1/trays/{document['code']}", json=document, headers=headers)


def test_an_entry_is_created_read_replaced_and_removed(client: HeldClient) -> None:
    """201 with Location and ETag, the same back, 200 with the next revision, 204 and then 404."""
    created = put(client, TRAY, NEW)
    assert (created.status_code, created.headers["Location"], created.headers["ETag"]) == (201, "/v1/trays/t-1", '"1"')
    assert client.get("/v1/trays/t-1").get_json() == {**TRAY, "revision": 1}
    replaced = put(client, {**TRAY, "title": "Other"}, {"If-Match": '"1"'})
    assert (replaced.status_code, replaced.headers["ETag"], replaced.get_json()["revision"]) == (200, '"2"', 2)
    assert client.delete("/v1/trays/t-1", headers={"If-Match": '"2"'}).status_code == 204
    assert client.get("/v1/trays/t-1").status_code == 404
    assert client.delete("/v1/trays/t-1", headers={"If-Match": '"2"'}).status_code == 404


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 428),
        ({"If-Match": '"1"'}, 200),
        ({"If-Match": "*"}, 200),
        ({"If-Match": '"7", "1"'}, 200),
        ({"If-Match": '"7" ,W/"1","1"'}, 200),
        ({"If-Match": '"2"'}, 412),
        ({"If-Match": 'W/"1"'}, 412),
        ({"If-Match": '"01"'}, 412),
        ({"If-Match": '"some"'}, 412),
        ({"If-Match": "1"}, 400),
        ({"If-Match": '"1'}, 400),
        ({"If-Match": ""}, 400),
        ({"If-None-Match": "*"}, 412),
        ({"If-None-Match": '"1"'}, 400),
        ({"If-Match": '"1"', "If-None-Match": "*"}, 400),
    ],
)
def test_a_change_needs_the_revision_it_was_made_from(client: HeldClient, headers: dict[str, str], status: int) -> None:
    """Only a strong tag of the present revision, or any, lets a change through; weak tags never match."""
    put(client, TRAY, NEW)
    assert put(client, {**TRAY, "title": "Other"}, headers).status_code == status
    title = client.get("/v1/trays/t-1").get_json()["title"]
    assert title == ("Other" if status == 200 else "Tray")


def test_what_is_not_there_cannot_be_replaced(client: HeldClient) -> None:
    """If-Match on an address without an entry is 412, and nothing is created."""
    assert put(client, TRAY, {"If-Match": "*"}).status_code == 412
    assert put(client, TRAY, {"If-Match": '"1"'}).status_code == 412
    assert client.get("/v1/trays/t-1").status_code == 404


@pytest.mark.parametrize(
    ("tags", "status"), [('"1"', 304), ('W/"1"', 304), ('"7", "1"', 304), ("*", 304), ('"2"', 200), ('"11"', 200)]
)
def test_what_the_caller_has_is_not_sent_again(client: HeldClient, tags: str, status: int) -> None:
    """If-None-Match compares weakly, as is right for reading; 304 has the tag and no body."""
    put(client, TRAY, NEW)
    response = client.get("/v1/trays/t-1", headers={"If-None-Match": tags})
    assert (response.status_code, response.headers["ETag"]) == (status, '"1"')
    assert bool(response.data) == (status == 200)


def test_the_same_content_again_makes_no_new_revision(client: HeldClient) -> None:
    """Also where numbers are written otherwise, or a revision is sent along."""
    put(client, TRAY, NEW)
    again = put(client, {**TRAY, "pitch_mm": 10.0, "revision": 99}, {"If-Match": '"1"'})
    assert (again.status_code, again.headers["ETag"]) == (200, '"1"')


def test_the_code_in_the_body_is_that_of_the_address(client: HeldClient) -> None:
    """422 with a pointer to the code."""
    response = client.put("/v1/trays/t-2", json=TRAY, headers=NEW)
    assert response.status_code == 422
    assert response.get_json()["errors"][0]["pointer"] == "/code"


@pytest.mark.parametrize("code", ["-a", ".a", "a" * 65, "a%0A", "a%20b", "%C3%A9"])
def test_a_code_that_cannot_be_is_refused(client: HeldClient, code: str) -> None:
    """400 names the parameter; a trailing newline does not slip through."""
    response = client.get(f"/v1/trays/{code}")
    assert (response.status_code, response.get_json()["errors"][0]["parameter"]) == (400, "code")


def test_an_entry_that_another_one_refers_to_is_retired(filled: HeldClient) -> None:
    """DELETE answers 204, and the entry is there, retired, with a new revision."""
    assert filled.delete("/v1/trays/ribbon-12", headers={"If-Match": '"1"'}).status_code == 204
    entry = filled.get("/v1/trays/ribbon-12").get_json()
    assert (entry["retired"], entry["revision"]) == (True, 2)


def test_an_entry_that_a_plan_used_is_retired(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Nothing refers to the closure but a plan, and that is enough to keep it."""
    assert filled.post("/v1/plans", json=handhole).status_code == 201
    assert filled.delete("/v1/closures/dome-48", headers={"If-Match": "*"}).status_code == 204
    assert filled.get("/v1/closures/dome-48").get_json()["retired"] is True


def test_a_reference_to_nothing_is_refused_with_its_place(filled: HeldClient) -> None:
    """The rules of the catalogue speak after the schema, with pointers into the body."""
    closure = filled.get("/v1/closures/dome-48").get_json()
    closure["trays"][0]["tray"] = "absent"
    response = filled.put("/v1/closures/dome-48", json=closure, headers={"If-Match": '"1"'})
    assert response.status_code == 422
    assert [error["pointer"] for error in response.get_json()["errors"]] == ["/trays/0/tray"]


@pytest.mark.parametrize("kind", KINDS)
def test_what_was_read_can_be_put_back(filled: HeldClient, kind: str) -> None:
    """Every entry of every section as it was answered is a body that PUT takes, and changes nothing."""
    for entry in filled.get(f"/v1/{kind}").get_json()["items"]:
        response = filled.put(f"/v1/{kind}/{entry['code']}", json=entry, headers={"If-Match": '"1"'})
        assert (response.status_code, response.get_json()) == (200, entry)


def test_pages_lead_through_the_whole_list(client: HeldClient) -> None:
    """Seven trays by two: every one once, in the order of their codes; body and Link lead the same way."""
    codes = [f"t-{number}" for number in range(7)]
    for code in reversed(codes):
        assert put(client, {**TRAY, "code": code}, NEW).status_code == 201
    seen: list[str] = []
    path, pages = "/v1/trays?limit=2", 0
    while path:
        response = client.get(path)
        page = response.get_json()
        seen += [entry["code"] for entry in page["items"]]
        link = response.headers.get("Link", "")
        path = link.partition(">")[0].removeprefix("<")
        assert (page["next"] or "") == path.rpartition("cursor=")[2]
        pages += 1
    assert (seen, pages) == (codes, 4)


def test_a_page_that_ends_with_the_list_leads_nowhere(client: HeldClient) -> None:
    """Exactly as many entries as the limit: next is null, and there is no empty page behind."""
    for number in range(2):
        put(client, {**TRAY, "code": f"t-{number}"}, NEW)
    response = client.get("/v1/trays?limit=2")
    assert response.get_json()["next"] is None
    assert "Link" not in response.headers


def test_filters_narrow_a_list_and_hold_on_its_next_pages(client: HeldClient) -> None:
    """Text is found in code or title in either case of letters; the cursor is of the filtered list alone."""
    for number, title in enumerate(["Red", "blue", "RED", "reddish"]):
        put(client, {**TRAY, "code": f"t-{number}", "title": title}, NEW)
    put(client, {**TRAY, "code": "t-2", "title": "RED", "retired": True}, {"If-Match": "*"})
    first = client.get("/v1/trays?text=red&limit=1")
    assert [entry["code"] for entry in first.get_json()["items"]] == ["t-0"]
    second = client.get(first.headers["Link"].partition(">")[0].removeprefix("<"))
    assert [entry["code"] for entry in second.get_json()["items"]] == ["t-2"]
    assert client.get(f"/v1/trays?limit=1&cursor={first.get_json()['next']}").status_code == 400
    live = client.get("/v1/trays?text=red&retired=false").get_json()["items"]
    assert [entry["code"] for entry in live] == ["t-0", "t-3"]
