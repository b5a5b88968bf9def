"""Plans over HTTP: made, stored, read, listed, removed; and fit checks."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest
from flask import Flask

from service.app import create_app
from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient


def test_a_plan_is_stored_and_read_as_it_was_answered(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """201 with Location; the same bytes at that address."""
    made = filled.post("/v1/plans", json=handhole)
    assert made.status_code == 201
    plan = made.get_json()
    assert made.headers["Location"] == f"/v1/plans/{plan['id']}"
    assert (plan["fits"], plan["splices"], plan["closure"]["code"]) == (True, 24, "dome-48")
    assert plan["proof"]["optimal"] is True
    assert datetime.fromisoformat(plan["created"]).tzinfo is not None
    assert float(made.headers["Server-Timing"].removeprefix("plan;dur=")) > 0
    read = filled.get(made.headers["Location"])
    assert (read.status_code, read.data, read.headers["ETag"]) == (200, made.data, made.headers["ETag"])


def test_a_plan_that_is_not_stored_is_the_same_plan(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """200 without id and time; apart from those the same bytes, and nothing is in the list."""
    loose = filled.post("/v1/plans?store=false", json=handhole)
    assert loose.status_code == 200
    assert filled.get("/v1/plans").get_json()["items"] == []
    stored = filled.post("/v1/plans?store=true", json=handhole)
    assert stored.data.endswith(loose.data[1:])
    assert {"id", "created"} & set(loose.get_json()) == set()


def test_a_request_that_is_written_otherwise_gives_the_same_plan(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Numbers of equal value, defaults that are spelled out, and the order of members make no difference."""
    other = {
        **dict(reversed(handhole.items())),
        "rules": {**handhole["rules"], "remakes": 2.0, "reach_mm": 900.0, "split": "oversize", "spare_trays": 0},
        "existing_trays": [],
    }
    first, second = (filled.post("/v1/plans?store=false", json=body).data for body in (handhole, other))
    assert first == second


def test_a_request_that_does_not_fit_is_an_answer(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """201 with fits false, reasons and no trays; the list says so too."""
    handhole["rules"]["spare_trays"] = 200
    made = filled.post("/v1/plans", json=handhole)
    assert made.status_code == 201
    assert made.get_json()["fits"] is False
    assert made.get_json()["reasons"]
    assert "trays" not in made.get_json()
    item = filled.get("/v1/plans").get_json()["items"][0]
    assert (item["fits"], item["trays"], item["optimal"]) == (False, None, None)


def test_fibres_of_a_ribbon_that_is_used_up_are_refused_with_their_place(
    filled: HeldClient, handhole: dict[str, Any]
) -> None:
    """The contract's own example: a third joint whose fibres of C belong to ribbons that the second one uses."""
    handhole["joints"].append({"from": {"cable": "B", "fibres": "277-280"}, "to": {"cable": "C", "fibres": "1-4"}})
    response = filled.post("/v1/plans", json=handhole)
    assert response.status_code == 422
    assert "/joints/2/to/fibres" in {error["pointer"] for error in response.get_json()["errors"]}


def test_all_faults_of_a_body_are_told_at_once(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """One answer names each by its place and with a word for machines."""
    handhole["cables"][0]["slack_m"] = -1
    handhole["cables"][1]["colour"] = "blue"
    handhole["joints"][0]["from"]["ribbons"] = "1-"
    handhole["joints"][1]["to"] = {"cable": "C"}
    handhole["rules"]["confidence"] = "high"
    handhole["crew"]["window_h"] = None
    del handhole["site"]["kind"]
    errors = filled.post("/v1/plans", json=handhole).get_json()["errors"]
    assert {(error["pointer"], error["code"]) for error in errors} == {
        ("/cables/0/slack_m", "range"),
        ("/cables/1/colour", "unknown_member"),
        ("/joints/0/from/ribbons", "pattern"),
        ("/joints/1/to", "one_of"),
        ("/rules/confidence", "type"),
        ("/crew/window_h", "null"),
        ("/site/kind", "required"),
    }


def test_a_range_that_runs_backwards_is_refused(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """The schema cannot say it, the reading of ranges does; both places are named."""
    handhole["joints"][0] = {"from": {"cable": "A", "ribbons": "22-1"}, "to": {"cable": "B", "ribbons": "1-4,9-8"}}
    errors = filled.post("/v1/plans", json=handhole).get_json()["errors"]
    assert [(error["pointer"], error["code"]) for error in errors] == [
        ("/joints/0/from/ribbons", "range"),
        ("/joints/0/to/ribbons", "range"),
    ]


def test_ranges_of_a_thousand_million_cost_nothing(store: Store, filled: HeldClient, handhole: dict[str, Any]) -> None:
    """A range is refused by its size before anything grows with it."""
    handhole["joints"] = [
        {"from": {"cable": "A", "ribbons": "1-999999999"}, "to": {"cable": "B", "ribbons": "1-999999999"}}
    ]
    response = filled.post("/v1/plans", json=handhole)
    assert response.status_code == 422
    assert [error["pointer"] for error in response.get_json()["errors"]] == [
        "/joints/0/from/ribbons",
        "/joints/0/to/ribbons",
    ]


def test_the_operator_bounds_the_splices_of_one_request(
    store: Store, filled: HeldClient, handhole: dict[str, Any]
) -> None:
    """24 splices pass at a limit of 24, and not at 23."""
    for most, status in ((24, 200), (23, 422)):
        app = create_app(Settings(max_splices=most), store)
        assert app.test_client().post("/v1/plans?store=false", json=handhole).status_code == status


def test_a_list_is_newest_first_and_leads_on(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Five plans by two: every one once; body and Link lead the same way."""
    ids = [filled.post("/v1/plans", json={**handhole, "name": f"point {n}"}).get_json()["id"] for n in range(5)]
    seen: list[str] = []
    path = "/v1/plans?limit=2"
    while path:
        response = filled.get(path)
        seen += [plan["id"] for plan in response.get_json()["items"]]
        path = response.headers.get("Link", "").partition(">")[0].removeprefix("<")
    assert seen == ids[::-1]


def test_plans_are_found_by_what_is_asked(
    filled: HeldClient, handhole: dict[str, Any], mid_span: dict[str, Any]
) -> None:
    """By closure, verdict, part of the name, and time; a time has a zone and may have any."""
    first = filled.post("/v1/plans", json=handhole).get_json()
    second = filled.post("/v1/plans", json={**mid_span, "rules": {"spare_trays": 200}}).get_json()

    def found(query: str) -> list[str]:
        return [plan["id"] for plan in filled.get(f"/v1/plans?{query}").get_json()["items"]]

    assert found("fits=true") == [first["id"]]
    assert found("fits=false") == [second["id"]]
    assert found("closure=dome-48&fits=true") == [first["id"]]
    assert found("closure=absent") == []
    assert found("name=HANDHOLE") == [first["id"]]
    assert found("name=%25") == []
    assert found(f"created_before={second['created']}") == [first["id"]]
    assert found(f"created_from={second['created']}") == [second["id"]]
    assert found("created_before=2020-01-01T00:00:00%2B05:30") == []


def test_a_plan_is_removed_with_its_tag(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """428 without, 412 with another, 204 with its own, and then it is gone."""
    path = filled.post("/v1/plans", json=handhole).headers["Location"]
    for headers, status in (
        ({}, 428),
        ({"If-Match": '"2"'}, 412),
        ({"If-Match": '"1"'}, 204),
        ({"If-Match": "*"}, 404),
    ):
        assert filled.delete(path, headers=headers).status_code == status
    assert filled.get(path).status_code == 404


def test_a_stored_plan_stays_as_it_is_when_the_catalogue_moves_on(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """New plans see the new catalogue, in the same process and at once; old ones keep their answer and revisions."""
    made = filled.post("/v1/plans", json=handhole)
    closure = filled.get("/v1/closures/dome-48").get_json()
    closure["stack_mm"] = 24
    assert filled.put("/v1/closures/dome-48", json=closure, headers={"If-Match": '"1"'}).status_code == 200
    later = filled.post("/v1/plans", json=handhole).get_json()
    assert (later["fits"], later["closure"]["revision"]) == (False, 2)
    assert filled.get(made.headers["Location"]).data == made.data
    assert made.get_json()["revisions"]["closures/dome-48"] == 1


def test_a_fit_check_has_the_verdict_of_the_plan(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """The same request, the same verdict and closure, for every candidate; nothing is stored."""
    for rules in ({}, {"spare_trays": 200}):
        request = {**handhole, "closures": [], "rules": rules}
        check = filled.post("/v1/fit-checks", json=request)
        plan = filled.post("/v1/plans?store=false", json=request).get_json()
        assert check.status_code == 200
        assert check.get_json()["fits"] == plan["fits"]
        assert check.get_json()["closure"] == (plan["closure"]["code"] if plan["fits"] else None)
        assert check.headers["Server-Timing"].startswith("plan;dur=")
    assert filled.get("/v1/plans").get_json()["items"] == []


def test_both_judge_a_request_by_the_same_schema(app: Flask, filled: HeldClient, handhole: dict[str, Any]) -> None:
    """What a plan refuses, a fit check refuses with the same errors."""
    handhole["rules"]["keep"] = "all"
    plan, check = (filled.post(path, json=handhole).get_json() for path in ("/v1/plans", "/v1/fit-checks"))
    assert plan["errors"] == check["errors"]


@pytest.mark.parametrize("closures", [[], ["dome-48", "dome-48"]])
def test_hanging_trays_belong_to_one_closure(filled: HeldClient, handhole: dict[str, Any], closures: list[str]) -> None:
    """Without exactly one closure named, the place of the fault is the list of closures."""
    request = {**handhole, "closures": closures, "existing_trays": [{"tray": "ribbon-12"}]}
    errors = filled.post("/v1/plans", json=request).get_json()["errors"]
    assert all(error["pointer"].startswith("/closures") for error in errors)
