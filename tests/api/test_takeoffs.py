"""Takeoffs over HTTP: sending them, watching them, ending them."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from service.store import Store, TakeoffStore
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import LINES, finished, lines, sent, work
from tests.store.takeoff_rows import started


@pytest.fixture
def twin(handhole: dict[str, Any]) -> dict[str, Any]:
    """The handhole under another name and with other tags on its cables."""
    twin = deepcopy(handhole)
    twin["name"] = "twin"
    for cable in twin["cables"]:
        cable["tag"] = f"twin {cable['tag']}"
    for joint in twin["joints"]:
        for side in ("from", "to"):
            joint[side]["cable"] = f"twin {joint[side]['cable']}"
    return twin


BAD = {"name": "bad", "cables": []}


def test_a_takeoff_is_received_worked_on_and_added_up(
    filled: HeldClient, store: Store, handhole: dict[str, Any], twin: dict[str, Any]
) -> None:
    """Two equal splice points and a bad line: 202, progress, then the totals of both."""
    answer = sent(filled, [handhole, b"", BAD, b"no json", twin], "?name=Build&tags=area:quay,phase:2")
    begun = answer.get_json()
    assert answer.status_code == 202 and answer.headers["Location"] == f"/v1/takeoffs/{begun['id']}"
    assert begun["state"] == "running" and begun["tags"] == {"area": "quay", "phase": "2"}
    assert begun["points"] == {"total": 4, "done": 2, "fitting": 0, "not_fitting": 0, "not_proven": 0, "faulty": 2}
    assert begun["demands"] == {"total": 1, "judged": 0, "planned": 0}
    assert [(each["place"], each["line"], each["name"]) for each in begun["faulty"]] == [(2, 3, "bad"), (3, 4, "")]
    assert {fault["pointer"] for fault in begun["faulty"][0]["faults"]} == {"/cables", "/joints"}
    work(store)
    done = filled.get(answer.headers["Location"]).get_json()
    assert done["state"] == "finished" and done["points"]["fitting"] == 2 and done["ended"] is not None
    alone = filled.post("/v1/plans?store=false", json=handhole).get_json()
    assert done["totals"]["splices"] == 2 * alone["splices"]


def test_the_plans_are_those_that_the_splice_points_would_get_by_themselves(
    filled: HeldClient, store: Store, handhole: dict[str, Any], twin: dict[str, Any], mid_span: dict[str, Any]
) -> None:
    """Byte for byte, in the order sent, page by page, as lines, in one stream, and one by one."""
    sent_points = [handhole, mid_span, twin]
    id = finished(filled, store, sent_points)
    alone = [filled.post("/v1/plans?store=false", json=point).get_data() for point in sent_points]
    for place, answer in enumerate(alone, start=1):
        assert filled.get(f"/v1/takeoffs/{id}/plans/{place}").get_data() == answer
    page = filled.get(f"/v1/takeoffs/{id}/plans?limit=2").get_json()
    assert [item["place"] for item in page["items"]] == [1, 2] and page["next"]
    rest = filled.get(f"/v1/takeoffs/{id}/plans", query_string={"limit": 2, "cursor": page["next"]}).get_json()
    assert [item["place"] for item in rest["items"]] == [3] and rest["next"] is None
    stream = filled.get(f"/v1/takeoffs/{id}/plans.ndjson").get_data().splitlines()
    assert [line.partition(b'"plan":')[2][:-1] for line in stream] == alone
    as_lines = filled.get(f"/v1/takeoffs/{id}/plans", headers={"Accept": LINES})
    assert as_lines.content_type == LINES and as_lines.get_data().splitlines() == stream


def test_splice_points_are_found_by_tag_and_by_outcome(
    filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """Tags are the splice points' own; a filter that is left out narrows nothing; plans can be left out."""
    crowded = deepcopy(handhole) | {"closures": ["dome-48"], "rules": {"spare_trays": 500}, "tags": {"phase": "2"}}
    id = finished(filled, store, [handhole | {"tags": {"phase": "1"}}, crowded, BAD])

    def outcomes(query: str) -> list[str]:
        return [each["outcome"] for each in filled.get(f"/v1/takeoffs/{id}/plans?{query}").get_json()["items"]]

    assert outcomes("") == ["fits", "does_not_fit", "faulty"]
    assert outcomes("fits=false") == ["does_not_fit"]
    assert outcomes("tag=phase:1") == ["fits"] and outcomes("tag=phase:3") == []
    items = filled.get(f"/v1/takeoffs/{id}/plans?whole=false").get_json()["items"]
    assert not any("plan" in each for each in items) and items[2]["faults"]
    faults = filled.get(f"/v1/takeoffs/{id}/faults").get_json()
    assert [(each["place"], each["line"]) for each in faults["items"]] == [(3, 3)]


def test_what_planning_refuses_is_a_fault_in_the_splice_points_own_names(
    filled: HeldClient, store: Store, twin: dict[str, Any]
) -> None:
    """An unknown code comes out with its pointer, a range with the tag as it was sent."""
    twin["joints"][0]["to"]["ribbons"] = "1-99"
    id = finished(filled, store, [twin])
    faults = filled.get(f"/v1/takeoffs/{id}/faults").get_json()["items"][0]["faults"]
    refused = filled.post("/v1/plans?store=false", json=twin).get_json()["errors"]
    assert faults == refused and any("twin " in fault["detail"] for fault in faults)
    assert filled.get(f"/v1/takeoffs/{id}/plans/1").status_code == 404


def test_a_strict_takeoff_with_a_fault_stores_nothing_and_tells_all_of_them(
    filled: HeldClient, handhole: dict[str, Any]
) -> None:
    """Also what only planning would refuse; a line's faults have its number, a document's a pointer to the member."""
    unknown = deepcopy(handhole)
    unknown["cables"][0]["cable"] = "no-such-cable"
    answer = sent(filled, [handhole, BAD, unknown], "?strict=true")
    assert answer.status_code == 422
    assert {(error["line"], error["pointer"]) for error in answer.get_json()["errors"]} == {
        (2, "/cables"), (2, "/joints"), (3, "/cables/0/cable"),
    }  # fmt: skip
    body = {"splice_points": [handhole, unknown]}
    answer = filled.post("/v1/takeoffs?strict=true", json=body)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.get_json()["errors"]] == ["/splice_points/1/cables/0/cable"]
    assert filled.get("/v1/takeoffs").get_json()["items"] == []


def test_a_document_is_a_takeoff_too(filled: HeldClient, store: Store, handhole: dict[str, Any]) -> None:
    """Its members are what parameters say of lines; a splice point that is none is listed among the faulty."""
    body = {"name": "Doc", "tags": {"area": "a"}, "closure_kinds": {"most": 2}, "splice_points": [handhole, BAD]}
    answer = filled.post("/v1/takeoffs", json=body)
    assert answer.status_code == 202
    told = answer.get_json()
    assert (told["name"], told["tags"], told["closure_kinds"]["most"]) == ("Doc", {"area": "a"}, 2)
    assert told["faulty"][0]["line"] == 2
    assert filled.post("/v1/takeoffs?name=x", json=body).status_code == 400


def test_nothing_at_all_is_refused(filled: HeldClient) -> None:
    """A body of blank lines, and one without any."""
    assert sent(filled, [b"", b" \r"]).status_code == 422
    assert sent(filled, []).status_code == 422


def test_sent_again_under_its_key_it_is_the_same_takeoff(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Another body under the key is refused, and so is a takeoff's key on a plan."""
    first = sent(filled, [handhole], "?name=a", key="k")
    again = sent(filled, [handhole], "?name=a", key="k")
    assert again.status_code == 202 and again.headers["Idempotent-Replayed"] == "true"
    assert again.get_json()["id"] == first.get_json()["id"]
    assert len(filled.get("/v1/takeoffs").get_json()["items"]) == 1
    for query, points in (("?name=b", [handhole]), ("?name=a", [handhole, handhole])):
        assert sent(filled, points, query, key="k").status_code == 422
    assert filled.post("/v1/plans", json=handhole, headers={"Idempotency-Key": "k"}).status_code == 422
    assert filled.delete(first.headers["Location"], headers={"If-Match": "*"}).status_code == 204
    assert filled.delete(first.headers["Location"], headers={"If-Match": "*"}).status_code == 204
    assert sent(filled, [handhole], "?name=a", key="k").status_code == 404


def test_who_asks_for_totals_only_reads(
    filled: HeldClient, store: Store, handhole: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """They were added up by the worker: no answer is gone through and nothing is written while somebody waits."""
    id = finished(filled, store, [handhole, {**handhole, "name": "another"}])

    def not_now(*_: object) -> None:
        raise AssertionError("this is work for workers")

    for work_for_workers in ("answers", "keep_totals"):
        monkeypatch.setattr(TakeoffStore, work_for_workers, not_now)
    assert filled.get(f"/v1/takeoffs/{id}").get_json()["totals"]["fitting"] == 2
    assert filled.get(f"/v1/takeoffs/{id}/materials").get_json()["points"] == 2
    assert filled.post("/v1/orders", json={"takeoffs": [id]}).status_code == 201


def test_a_takeoff_of_another_version_says_what_it_waits_for(filled: HeldClient, store: Store) -> None:
    """It is at work and nobody here goes on with it; it can be cancelled, and then waits for nothing."""
    place = f"/v1/takeoffs/{started(store, 2, version='0.0.1')}"
    work(store)
    told = filled.get(place).get_json()
    assert (told["state"], told["version"], told["demands"]["planned"]) == ("running", "0.0.1", 0)
    assert "waits for a worker of that version" in told["why"]
    assert filled.delete(place, headers={"If-Match": "*"}).status_code == 204
    assert "why" not in filled.get(place).get_json()


def test_delete_cancels_what_is_at_work_and_removes_what_has_ended(
    filled: HeldClient, store: Store, handhole: dict[str, Any]
) -> None:
    """A tag of the takeoff at work cancels it however far it is, and never removes it once it has ended."""
    answer = sent(filled, [handhole])
    place, at_work = answer.headers["Location"], answer.headers["ETag"]
    assert filled.delete(place).status_code == 428
    assert filled.delete(place, headers={"If-Match": at_work}).status_code == 204
    cancelled = filled.get(place)
    assert cancelled.get_json()["state"] == "cancelled"
    work(store)
    assert filled.get(place).get_json()["points"]["done"] == 0
    assert filled.delete(place, headers={"If-Match": at_work}).status_code == 412
    assert filled.delete(place, headers={"If-Match": cancelled.headers["ETag"]}).status_code == 204
    assert filled.get(place).status_code == 404


def test_takeoffs_are_listed_the_newest_first(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Page by page, by state and by a part of the name."""
    for name in ("one", "two", "three"):
        sent(filled, [handhole], f"?name={name}")
    page = filled.get("/v1/takeoffs?limit=2").get_json()
    rest = filled.get("/v1/takeoffs", query_string={"limit": 2, "cursor": page["next"]}).get_json()
    assert [each["name"] for each in page["items"] + rest["items"]] == ["three", "two", "one"]
    assert [each["name"] for each in filled.get("/v1/takeoffs?name=TW").get_json()["items"]] == ["two"]
    assert filled.get("/v1/takeoffs?state=finished").get_json()["items"] == []


def test_a_tag_tells_whether_anything_has_changed(filled: HeldClient, store: Store, handhole: dict[str, Any]) -> None:
    """304 while nothing was done, another answer afterwards."""
    answer = sent(filled, [handhole])
    place, tag = answer.headers["Location"], {"If-None-Match": answer.headers["ETag"]}
    assert filled.get(place, headers=tag).status_code == 304
    work(store)
    assert filled.get(place, headers=tag).status_code == 200


@pytest.mark.parametrize("tags", ["a", "a:", ":b", "a:b,", "a:b,a:c"])
def test_tags_that_cannot_be_understood_are_refused(filled: HeldClient, handhole: dict[str, Any], tags: str) -> None:
    """The form is in the description; a tag stands once."""
    assert sent(filled, [handhole], f"?tags={tags}").status_code == 400


def test_lines_in_other_clothes_are_refused(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Another media type, or a content coding that is not gzip, is 415."""
    assert filled.post("/v1/takeoffs", data=lines([handhole]), content_type="text/plain").status_code == 415
    encoded = {"Content-Encoding": "zstd"}
    assert filled.post("/v1/takeoffs", data=b"", content_type=LINES, headers=encoded).status_code == 415


@pytest.mark.parametrize("odd", [5, "Quay 1", None, [], {}])
def test_a_splice_point_that_is_no_object_is_listed_and_stops_no_other(
    filled: HeldClient, handhole: dict[str, Any], odd: Any
) -> None:
    """In a JSON takeoff as in lines: what is no splice point at all is faulty, the others are planned."""
    sent = filled.post("/v1/takeoffs", json={"splice_points": [odd, handhole]})
    assert sent.status_code == 202
    takeoff = filled.get(sent.headers["Location"]).get_json()
    assert (takeoff["points"]["total"], takeoff["points"]["faulty"]) == (2, 1)
    (faulty,) = filled.get(f"{sent.headers['Location']}/faults").get_json()["items"]
    assert faulty["line"] == 1


def test_a_line_that_is_no_json_is_told_by_its_column_alone(filled: HeldClient) -> None:
    """Which line of the takeoff it is stands beside the fault; within it there is only one."""
    body = b'{"cables": [], "joints": []}\n{"cables": [\n'
    sent = filled.post("/v1/takeoffs", data=body, content_type="application/x-ndjson")
    (fault,) = [
        each for each in filled.get(f"{sent.headers['Location']}/faults").get_json()["items"] if each["line"] == 2
    ]
    assert "column 13" in str(fault) and "line 1" not in str(fault) and "body" not in str(fault)
