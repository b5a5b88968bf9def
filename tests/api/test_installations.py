"""Hung closures over HTTP: hung from plans, found, added to, and changed by visits."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import orjson
import pytest
from flask import Flask

from service.cli.answers import answer_bytes, answered
from service.documents.rework import tallies_of_plan
from service.domain.installation import Place
from service.domain.records import SpliceRecord
from service.store import AnyRevision
from tests.api.held_client import HeldClient
from tests.api.hung import DROP, hang, lying, path_of, slots

Document = dict[str, Any]
WHEN = datetime(2026, 3, 9, tzinfo=UTC)
SAID = {"place": "opposite the pump house", "hung": "2026-03-09", "by": "Crew 3", "note": "Lid was stiff."}


@pytest.fixture
def hung(filled: HeldClient, handhole: Document) -> Document:
    """The handhole's closure as it hangs: A to B and to C, in dome-48."""
    return hang(filled, handhole, **SAID)


def test_a_hung_closure_holds_what_its_plan_laid(filled: HeldClient, handhole: Document) -> None:
    """Every splice in its slot, every cable in its port, the parked ends, slots used and free in each bank."""
    plan = filled.post("/v1/plans", json=handhole).get_json()
    made = filled.post("/v1/installations", json={"plan": plan["id"], **SAID})
    installation = made.get_json()
    assert filled.get(made.headers["Location"]).get_json() == installation
    planned = {
        (tray["position"], splice["bank"], splice["slot"]): (splice["from"], splice["to"])
        for tray in plan["trays"]
        for splice in tray["splices"]
    }
    assert {place[:3]: place[3:] for place in lying(installation).values()} == planned
    assert sorted(lying(installation)) == list(range(1, plan["splices"] + 1))
    ports = {cable["tag"]: cable["ports"] for cable in installation["cables"]}
    assert ports == {tag: [use["port"]] for use in plan["ports"] for tag in use["cables"]}
    for tray, was in zip(installation["trays"], plan["trays"], strict=True):
        assert (tray["tray"], tray["keep_apart"], tray["parked"]) == (was["tray"], was["keep_apart"], was["parked"])
        assert tray["storage_used_mm2"] == was["storage_used_mm2"]
        assert [bank["used"] for bank in tray["banks"]] == [bank["used"] for bank in was["banks"] if bank["slot_kind"]]
    assert (installation["name"], installation["hung"], installation["visits"]) == (handhole["name"], "2026-03-09", 1)


def test_the_room_that_is_left_is_told(hung: Document) -> None:
    """By hand: dome-48 is 96 mm high, trays 12 mm, at most eight; A takes the oval port, B and C round ones."""
    room, used = hung["room"], {}
    for tray in hung["trays"]:
        for bank in tray["banks"]:
            used[bank["slot_kind"]] = used.get(bank["slot_kind"], 0) + bank["slots"] - bank["used"]
    assert {each["slot_kind"]: each["free"] for each in room["slots"] if each["free"]} == used
    assert room["stack_left_mm"] == 96 - 12 * len(hung["trays"])
    assert room["trays_to_add"] == [{"tray": "ribbon-12", "most": 8 - len(hung["trays"])}]
    assert [(port["port"], port["cables"]) for port in room["ports"]] == [("oval-1", 1), ("round-3", 1), ("round-4", 1)]


def test_a_plan_that_cannot_hang_is_pointed_at(filled: HeldClient, hung: Document, handhole: Document) -> None:
    """One that is not there, one that does not fit, one into a closure that hangs already; nothing is stored."""
    big = {**handhole, "rules": {"reserve": {"percent": 500, "in": "trays"}}}
    unfit = filled.post("/v1/plans", json=big).get_json()
    into = filled.post(path_of(hung, "/additions"), json=DROP).get_json()
    assert (unfit["fits"], into["fits"]) == (False, True)
    for plan, code in (("0" * 32, "unknown_plan"), (unfit["id"], "does_not_fit"), (into["id"], "existing_trays")):
        refused = filled.post("/v1/installations", json={"plan": plan})
        found = [(each["pointer"], each["code"]) for each in refused.get_json()["errors"]]
        assert (refused.status_code, found) == (422, [("/plan", code)])
    assert len(filled.get("/v1/installations").get_json()["items"]) == 1


def test_a_plan_hangs_once(filled: HeldClient, handhole: Document) -> None:
    """409 names the closure that hangs by it, unless it is to hang again."""
    plan = filled.post("/v1/plans", json=handhole).get_json()["id"]
    first = filled.post("/v1/installations", json={"plan": plan}).get_json()
    refused = filled.post("/v1/installations", json={"plan": plan})
    problem = refused.get_json()
    assert (refused.status_code, problem["type"]) == (409, "/problems/hung-already")
    assert first["id"] in problem["errors"][0]["detail"]
    assert filled.post("/v1/installations", json={"plan": plan, "again": True}).status_code == 201


@pytest.mark.parametrize(
    ("said", "pointer"),
    [
        ({"latitude": 53.5}, "/longitude"),
        ({"longitude": 8.5}, "/latitude"),
        ({"hung": "2026-02-30"}, "/hung"),
        ({"latitude": 90.5, "longitude": 8.5}, "/latitude"),
        ({"plan": "x"}, "/plan"),
    ],
)
def test_what_is_wrong_with_a_place_or_day_is_pointed_at(filled: HeldClient, said: Document, pointer: str) -> None:
    """Half a pair of coordinates, a day that is none, a latitude beyond the pole."""
    refused = filled.post("/v1/installations", json={"plan": "0" * 32, **said})
    assert (refused.status_code, refused.get_json()["errors"][0]["pointer"]) == (422, pointer)


def test_hung_closures_are_found(filled: HeldClient, handhole: Document, mid_span: Document) -> None:
    """By name or place in any case, by model, by how near; page by page, the newest first."""
    hang(filled, handhole, place="Quay", latitude=53.5, longitude=8.5)
    hang(filled, mid_span, latitude=53.51, longitude=8.5)

    def found(query: str) -> list[str]:
        return [each["name"] for each in filled.get(f"/v1/installations?{query}").get_json()["items"]]

    both = [mid_span["name"], handhole["name"]]
    assert found("") == both
    assert found("name=QUAY") == found("name=handhole") == [handhole["name"]]
    assert found("closure=dome-48") == both
    assert found("near=53.5,8.5") == [handhole["name"]]
    assert found("near=53.5,8.5&within_km=1.2") == both
    page = filled.get("/v1/installations?limit=1")
    assert [each["name"] for each in page.get_json()["items"]] == both[:1]
    following = page.headers["Link"].partition("<")[2].partition(">")[0]
    assert [each["name"] for each in filled.get(following).get_json()["items"]] == both[1:]


@pytest.mark.parametrize(
    "query", ["near=91,0", "near=0,181", "near=here", "within_km=2", "near=1,1&within_km=x", "near=1,1&within_km=0"]
)
def test_a_place_that_is_none_is_no_parameter(filled: HeldClient, query: str) -> None:
    """Beyond the poles, in words, or how near without saying near what."""
    assert filled.get(f"/v1/installations?{query}").status_code == 400


def test_a_place_is_told_under_a_precondition(filled: HeldClient, hung: Document) -> None:
    """428 without, 412 where it is stale; the entity tag and the revision alone will both do."""
    path, body = path_of(hung), {"name": "Handhole 7a", "latitude": 53.5, "longitude": 8.5}
    etag = filled.get(path).headers["ETag"]
    assert filled.put(path, json=body).status_code == 428
    assert filled.put(path, json=body, headers={"If-Match": '"9"'}).status_code == 412
    renamed = filled.put(path, json=body, headers={"If-Match": etag})
    assert (renamed.status_code, renamed.get_json()["name"], renamed.get_json()["revision"]) == (200, "Handhole 7a", 2)
    assert filled.put(path, json=body, headers={"If-Match": etag}).status_code == 412
    assert filled.delete(path, headers={"If-Match": '"2"'}).status_code == 204
    assert filled.get(path).status_code == 404


def test_the_entity_tag_follows_the_catalogue_too(filled: HeldClient, hung: Document, catalogue: Document) -> None:
    """What room is left is by the catalogue as it is: a cache must not keep it, a change may still be made."""
    path = path_of(hung)
    etag = filled.get(path).headers["ETag"]
    assert filled.get(path, headers={"If-None-Match": etag}).status_code == 304
    closure = {**catalogue["closures"][0], "stack_mm": 120}
    filled.put("/v1/closures/dome-48", json=closure, headers={"If-Match": "*"})
    again = filled.get(path, headers={"If-None-Match": etag})
    assert (again.status_code, again.get_json()["room"]["stack_left_mm"]) == (200, 120 - 12 * len(hung["trays"]))
    assert filled.post(path + "/removals", json={"splices": [1]}, headers={"If-Match": etag}).status_code == 200


def test_an_addition_leaves_what_lies_and_opens_little(filled: HeldClient, hung: Document) -> None:
    """The stored plan says what it was made for; planning alone changes nothing in the closure."""
    made = filled.post(path_of(hung, "/additions"), json=DROP)
    plan = made.get_json()
    assert (made.status_code, plan["fits"], plan["splices"]) == (201, True, 1)
    assert plan["installation"] == {"id": hung["id"], "revision": 1}
    assert filled.get(made.headers["Location"]).data == made.data
    assert not any(tray["new"] for tray in plan["trays"])
    new = [(t["position"], s["bank"], s["slot"]) for t in plan["trays"] for s in t["splices"]]
    assert len(new) == 1
    assert not set(new) & set(slots(hung))
    assert filled.get(path_of(hung)).get_json() == hung


def test_an_addition_need_not_be_stored(filled: HeldClient, hung: Document) -> None:
    """The same plan, and neither id nor row of it."""
    kept = filled.post(path_of(hung, "/additions"), json=DROP).get_json()
    asked = filled.post(path_of(hung, "/additions?store=false"), json=DROP)
    stored = {name: value for name, value in kept.items() if name not in ("id", "created")}
    assert (asked.status_code, asked.get_json()) == (200, stored)
    assert len(filled.get("/v1/plans").get_json()["items"]) == 2


def test_an_addition_is_recorded_as_done(filled: HeldClient, hung: Document) -> None:
    """What lay there lies there still, in its slot and under its number; the visit tells what came."""
    body = {**DROP, "on": "2026-05-04", "by": "Crew 1"}
    plan = filled.post(path_of(hung, "/additions?apply=true"), json=body).get_json()
    assert plan["installation"] == {"id": hung["id"], "revision": 2, "visit": 2}
    now = filled.get(path_of(hung)).get_json()
    before, after = lying(hung), lying(now)
    assert {number: after[number] for number in before} == before
    assert after[25][3:] == ({"cable": "B", "ribbon": 23}, {"cable": "D", "ribbon": 1})
    assert [cable["tag"] for cable in now["cables"]] == ["A", "B", "C", "D"]
    assert (now["revision"], now["visits"], now["splices"]) == (2, 2, 25)
    newest = filled.get(path_of(hung, "/visits")).get_json()["items"][0]
    told = {name: newest[name] for name in ("number", "kind", "on", "by", "plan", "splices", "cables")}
    assert told == {
        "number": 2, "kind": "added", "on": "2026-05-04", "by": "Crew 1", "plan": plan["id"],
        "splices": [25], "cables": ["D"],
    }  # fmt: skip


def test_a_plan_is_recorded_as_it_was_printed(filled: HeldClient, hung: Document, catalogue: Document) -> None:
    """Whatever the catalogue says since, and however the place is called; once."""
    plan = filled.post(path_of(hung, "/additions"), json=DROP).get_json()
    tray = {**catalogue["trays"][0], "turn_mm": 300, "title": "Another tray of this code"}
    assert filled.put("/v1/trays/ribbon-12", json=tray, headers={"If-Match": "*"}).status_code == 200
    filled.put(path_of(hung), json={"name": "7a"}, headers={"If-Match": "*"})
    body = {"plan": plan["id"], "on": "2026-05-06", "by": "Crew 2"}
    assert filled.post(path_of(hung, "/visits"), json=body, headers={"If-Match": '"1"'}).status_code == 412
    now = filled.post(path_of(hung, "/visits"), json=body, headers={"If-Match": '"2"'}).get_json()
    [(position, laid)] = [(tray["position"], each) for tray in plan["trays"] for each in tray["splices"]]
    assert lying(now)[25] == (position, laid["bank"], laid["slot"], laid["from"], laid["to"])
    assert filled.get(f"/v1/plans/{plan['id']}").get_json()["installation"] == {
        "id": hung["id"], "revision": now["revision"], "visit": 2,
    }  # fmt: skip
    newest = filled.get(path_of(hung, "/visits")).get_json()["items"][0]
    assert (newest["plan"], newest["on"], newest["by"]) == (plan["id"], "2026-05-06", "Crew 2")
    again = filled.post(path_of(hung, "/visits"), json=body)
    assert (again.status_code, again.get_json()["type"]) == (409, "/problems/recorded-already")


def test_a_plan_is_not_recorded_in_a_closure_that_it_was_not_made_for(
    filled: HeldClient, hung: Document, handhole: Document
) -> None:
    """One of another closure, one that was hung, one that does not fit, none; and one that a visit has overtaken."""
    plan = filled.post(path_of(hung, "/additions"), json=DROP).get_json()
    unfit = filled.post(path_of(hung, "/additions"), json={**DROP, "rules": {"spare_entries": 60}}).get_json()
    other, first = hang(filled, handhole), filled.get(path_of(hung, "/visits")).get_json()["items"][-1]["plan"]
    refused = ((other, plan["id"]), (hung, first), (hung, unfit["id"]), (hung, "0" * 32))
    codes = []
    for where, id in refused:
        answer = filled.post(path_of(where, "/visits"), json={"plan": id})
        assert answer.status_code == 422
        codes += [(each["pointer"], each["code"]) for each in answer.get_json()["errors"]]
    assert codes == [("/plan", code) for code in ("other_closure", "other_closure", "does_not_fit", "unknown_plan")]
    filled.post(path_of(hung, "/removals"), json={"splices": [1]})
    overtaken = filled.post(path_of(hung, "/visits"), json={"plan": plan["id"]})
    assert (overtaken.status_code, overtaken.get_json()["type"]) == (409, "/problems/changed-meanwhile")


def test_an_addition_that_does_not_fit_is_an_answer_and_not_recorded(filled: HeldClient, hung: Document) -> None:
    """201 with the reasons; to record it is a conflict that names the limits, and stores nothing."""
    body = {**DROP, "rules": {"spare_entries": 60}}
    plan = filled.post(path_of(hung, "/additions"), json=body).get_json()
    assert (plan["fits"], [reason["limit"] for reason in plan["reasons"]]) == (False, ["entries"])
    refused = filled.post(path_of(hung, "/additions?apply=true"), json=body)
    problem = refused.get_json()
    assert (refused.status_code, problem["type"]) == (409, "/problems/does-not-fit")
    assert [each["code"] for each in problem["errors"]] == ["entries"]
    assert filled.get(path_of(hung)).get_json() == hung
    assert len(filled.get("/v1/plans").get_json()["items"]) == 2


def test_an_addition_learns_from_the_records(app: Flask, filled: HeldClient, hung: Document) -> None:
    """What splice records taught is in its spares, and it can be computed again from what it says of them."""
    store = app.extensions["traywright"].store
    store.records.add([SpliceRecord(hung["id"], number, "rollable", 12, 2, WHEN) for number in range(1, 21)])
    body = {**DROP, "rules": {"rework": "recorded"}}
    plain = filled.post(path_of(hung, "/additions"), json=DROP).get_json()
    learned = filled.post(path_of(hung, "/additions?apply=true"), json=body).get_json()
    assert sum(rate["joints"] for rate in learned["recorded"]) == 20
    assert learned["sleeves"][0]["spares"] > plain["sleeves"][0]["spares"]
    stored = store.plan(learned["id"])
    known = tallies_of_plan(orjson.loads(stored.answer))
    again = answered(stored.request, store.catalogue_of(stored), known)
    assert answer_bytes(again.plan) == stored.answer


def test_faults_of_an_addition_point_into_it(filled: HeldClient, hung: Document) -> None:
    """Ends that are spliced, tags that are taken, cables that are not there: all of them told, at their places."""
    body = {
        "cables": [{"tag": "A", "cable": "drop-24"}, {"tag": "D", "cable": "absent"}],
        "joints": [
            {"from": {"cable": "B", "ribbons": "1"}, "to": {"cable": "B", "ribbons": "24"}},
            {"from": {"cable": "E", "ribbons": "1"}, "to": {"cable": "B", "ribbons": "23"}},
        ],
    }
    refused = filled.post(path_of(hung, "/additions"), json=body)
    pointers = {each["pointer"] for each in refused.get_json()["errors"]}
    assert refused.status_code == 422
    assert {"/cables/0/tag", "/cables/1/cable", "/joints/0/from/ribbons", "/joints/1/from/cable"} <= pointers


def test_a_stale_addition_is_refused(filled: HeldClient, hung: Document) -> None:
    """By If-Match, whether it is to be stored, recorded, or only computed."""
    filled.post(path_of(hung, "/removals"), json={"splices": [1]})
    for query in ("", "?store=false", "?apply=true"):
        path = path_of(hung, f"/additions{query}")
        assert filled.post(path, json=DROP, headers={"If-Match": '"1"'}).status_code == 412
        assert filled.post(path, json=DROP, headers={"If-Match": '"2"'}).status_code in (200, 201)


def test_a_visit_that_another_overtook_is_a_conflict(
    app: Flask, filled: HeldClient, hung: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    """409 without If-Match, 412 with it; nothing of the slower one is stored, and sent again it goes."""
    store = app.extensions["traywright"].store.installations
    read = store.get

    def overtaken(id: str, expect: Any = None) -> Any:
        found = read(id, expect)
        monkeypatch.setattr(store, "get", read)
        store.rename(id, Place(f"after {found.revision}"), AnyRevision())
        return found

    sent = (("/additions", DROP), ("/additions?apply=true", DROP), ("/removals", {"splices": [20]}))
    for part, body in sent:
        for headers, status in (({}, 409), ({"If-Match": "*"}, 412)):
            monkeypatch.setattr(store, "get", overtaken)
            answer = filled.post(path_of(hung, part), json=body, headers=headers)
            assert answer.status_code == status
            if status == 409:
                assert answer.get_json()["type"] == "/problems/changed-meanwhile"
    assert len(filled.get("/v1/plans").get_json()["items"]) == 1
    assert filled.post(path_of(hung, "/additions?apply=true"), json=DROP).status_code == 201


def test_splices_that_are_taken_out_leave_their_slots(filled: HeldClient, hung: Document) -> None:
    """The slots are free again, the ends are parked in the tray, and its storage stays in use."""
    removed = filled.post(path_of(hung, "/removals"), json={"splices": [1, 24], "by": "Crew 1"}).get_json()
    assert set(lying(hung)) - set(lying(removed)) == {1, 24}
    free = [sum(each["free"] for each in one["room"]["slots"]) for one in (hung, removed)]
    assert free[1] == free[0] + 2
    storage = [sum(tray["storage_used_mm2"] for tray in one["trays"]) for one in (hung, removed)]
    assert storage[1] == pytest.approx(storage[0])
    visit = filled.get(path_of(hung, "/visits")).get_json()["items"][0]
    assert (visit["kind"], visit["splices"], visit["by"]) == ("removed", [1, 24], "Crew 1")
    absent = filled.post(path_of(hung, "/removals"), json={"splices": [2, 1]})
    assert (absent.status_code, absent.get_json()["errors"][0]["pointer"]) == (422, "/splices/1")


def test_a_cable_that_is_given_up_takes_its_splices_with_it(filled: HeldClient, hung: Document) -> None:
    """It keeps its port; it cannot be given up twice, nor spliced again."""
    left = filled.post(path_of(hung, "/abandonments"), json={"cable": "C"}).get_json()
    gone = set(lying(hung)) - set(lying(left))
    assert gone == {number for number, place in lying(hung).items() if "C" in (place[3]["cable"], place[4]["cable"])}
    cable = left["cables"][2]
    assert (cable["tag"], cable["abandoned"], cable["ports"]) == ("C", True, hung["cables"][2]["ports"])
    visit = filled.get(path_of(hung, "/visits")).get_json()["items"][0]
    assert (visit["kind"], visit["cables"], set(visit["splices"])) == ("cable_abandoned", ["C"], gone)
    assert filled.post(path_of(hung, "/abandonments"), json={"cable": "C"}).status_code == 422
    joint = {"from": {"cable": "B", "ribbons": "23"}, "to": {"cable": "C", "ribbons": "1"}}
    assert filled.post(path_of(hung, "/additions"), json={"joints": [joint]}).status_code == 422


def test_visits_are_told_page_by_page(filled: HeldClient, hung: Document) -> None:
    """The newest first; a cursor of another closure's visits is none of this one's."""
    for number in (1, 2):
        filled.post(path_of(hung, "/removals"), json={"splices": [number]})
    page = filled.get(path_of(hung, "/visits?limit=2"))
    assert [each["number"] for each in page.get_json()["items"]] == [3, 2]
    rest = filled.get(page.headers["Link"].partition("<")[2].partition(">")[0]).get_json()
    assert ([each["number"] for each in rest["items"]], rest["next"]) == ([1], None)
    assert rest["items"][0]["note"] == SAID["note"]
    cursor = page.get_json()["next"]
    assert filled.get(f"/v1/installations?cursor={cursor}").status_code == 400
    assert filled.get(f"/v1/installations/{'0' * 32}/visits").status_code == 404


@pytest.mark.parametrize(
    ("part", "body"),
    [("/additions", DROP), ("/additions?apply=true", DROP), ("/removals", {"splices": [1]}),
     ("/abandonments", {"cable": "C"})],
)  # fmt: skip
def test_a_visit_sent_again_is_recorded_once(filled: HeldClient, hung: Document, part: str, body: Document) -> None:
    """The same key and body get the same answer, though the closure has changed since; another body is refused."""
    path, key = path_of(hung, part), {"Idempotency-Key": "k-1"}
    first = filled.post(path, json=body, headers=key)
    filled.post(path_of(hung, "/removals"), json={"splices": [9]})
    again = filled.post(path, json=body, headers=key)
    assert first.status_code == again.status_code < 300
    assert (again.data, again.headers["Idempotent-Replayed"]) == (first.data, "true")
    assert filled.post(path, json={**body, "note": "other"}, headers=key).status_code == 422
    visits = filled.get(path_of(hung, "/visits")).get_json()["items"]
    assert len(visits) == (2 if part == "/additions" else 3)


def test_a_key_is_not_good_for_another_closure(filled: HeldClient, hung: Document, handhole: Document) -> None:
    """The address is part of what a key stands for."""
    other, key = hang(filled, handhole), {"Idempotency-Key": "k-1"}
    assert filled.post(path_of(hung, "/removals"), json={"splices": [1]}, headers=key).status_code == 200
    assert filled.post(path_of(other, "/removals"), json={"splices": [1]}, headers=key).status_code == 422


def test_a_closure_hung_again_by_its_key_is_the_first_one(filled: HeldClient, handhole: Document) -> None:
    """As it was answered then, whatever was done since."""
    plan, key = filled.post("/v1/plans", json=handhole).get_json()["id"], {"Idempotency-Key": "hang"}
    first = filled.post("/v1/installations", json={"plan": plan}, headers=key)
    filled.post(first.headers["Location"] + "/removals", json={"splices": [1]})
    again = filled.post("/v1/installations", json={"plan": plan}, headers=key)
    assert (again.status_code, again.data) == (201, first.data)
    assert again.headers["Location"] == first.headers["Location"]


def test_what_is_recorded_as_done_is_stored(filled: HeldClient, hung: Document) -> None:
    """Asking for the one without the other makes no sense."""
    assert filled.post(path_of(hung, "/additions?apply=true&store=false"), json=DROP).status_code == 400


def test_entries_that_hang_may_be_retired(app: Flask, filled: HeldClient, hung: Document) -> None:
    """The closure can still be read and added to, and the plan computed again; no retired tray or cable is brought."""
    for entry in ("closures/dome-48", "cables/roll-288", "trays/ribbon-12"):
        assert filled.delete(f"/v1/{entry}", headers={"If-Match": "*"}).status_code == 204
        assert filled.get(f"/v1/{entry}").get_json()["retired"] is True
    room = filled.get(path_of(hung)).get_json()["room"]
    assert room["trays_to_add"] == [{"tray": "ribbon-12", "most": 0}]
    made = filled.post(path_of(hung, "/additions?apply=true"), json=DROP).get_json()
    assert made["fits"]
    assert not any(tray["new"] for tray in made["trays"])
    store = app.extensions["traywright"].store
    stored = store.plan(made["id"])
    assert answer_bytes(answered(stored.request, store.catalogue_of(stored)).plan) == stored.answer
    more = {"cables": [{"tag": "E", "cable": "roll-288"}], "joints": DROP["joints"]}
    refused = filled.post(path_of(hung, "/additions"), json=more)
    assert (refused.status_code, refused.get_json()["errors"][0]["pointer"]) == (422, "/cables/0/cable")


def test_the_request_of_a_stored_addition_is_whole(app: Flask, filled: HeldClient, hung: Document) -> None:
    """Sent as a plan request it gives the same plan byte for byte, and what lay there is kept beside it."""
    store = app.extensions["traywright"].store
    plan = filled.post(path_of(hung, "/additions?apply=true"), json=DROP).get_json()
    stored = store.plan(plan["id"])
    again = filled.post("/v1/plans?store=false", json=orjson.loads(stored.request))
    assert again.data == stored.answer
    assert sorted(splice.number for splice in store.installations.lying(plan["id"])) == sorted(lying(hung))
