"""Plans, takeoffs and orders at remake rates learned from splice records, over HTTP."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from service.cli.recompute import comes_out_the_same
from service.domain.records import SpliceRecord
from service.domain.rework import Learned
from service.planning.spares import remakes_within
from service.store import Store
from service.verifying import verify
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import finished

Document = dict[str, Any]


def record(store: Store, joints: int, remade: int, first: int = 1) -> None:
    """Records of rollable ribbons, so many of which were made again once, after shrinking."""
    store.records.add(
        [
            SpliceRecord("a" * 32, first + n, "rollable", 12, int(n < remade), datetime(2026, 5, 4, tzinfo=UTC))
            for n in range(joints)
        ]
    )


@pytest.fixture
def asking(handhole: Document) -> Document:
    """The handhole's request, at recorded rates."""
    handhole["rules"]["rework"] = "recorded"
    return handhole


def sleeve(document: Document, code: str = "rs-12") -> Document:
    """The sleeves of a kind."""
    return next(each for each in document["sleeves"] if each["sleeve"] == code)


def test_a_plan_learns_from_the_records_there_are(filled: HeldClient, store: Store, asking: Document) -> None:
    """The rate and the spares follow the records; the plan says what they were, and is verified."""
    before = filled.post("/v1/plans", json=asking).get_json()
    record(store, 400, 60)
    after = filled.post("/v1/plans", json=asking).get_json()
    assert [rate["joints"] for rate in before["recorded"]] == [0] * len(before["recorded"])
    told = next(rate for rate in after["recorded"] if rate["form"] == "rollable")
    assert (told["joints"], told["remakes"], told["remakes_after_shrinking"]) == (400, 60, 60)
    assert sleeve(after)["rework"] > sleeve(before)["rework"]
    assert after["rules"]["rework"] == "recorded"
    assert verify(before).breaches == verify(after).breaches == ()


def test_a_stored_plancomes_out_the_same_when_more_was_recorded(
    filled: HeldClient, store: Store, asking: Document
) -> None:
    """Byte for byte, from what the answer says that it learned."""
    record(store, 40, 6)
    plan = store.plan(filled.post("/v1/plans", json=asking).get_json()["id"])
    record(store, 400, 200, first=100)
    assert comes_out_the_same(store, plan)


def test_a_fit_check_takes_the_same_request(filled: HeldClient, asking: Document) -> None:
    """What a joint costs in sleeves does not change whether it fits."""
    assert filled.post("/v1/fit-checks", json=asking).get_json()["fits"]


def test_other_words_for_a_rate_are_refused(filled: HeldClient, handhole: Document) -> None:
    """The place is told."""
    handhole["rules"]["rework"] = "learned"
    answer = filled.post("/v1/plans", json=handhole)
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.get_json()["errors"]] == ["/rules/rework"]


def test_a_takeoff_keeps_what_was_known_when_it_was_received(
    filled: HeldClient, store: Store, asking: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its plans are those of that time, though more is recorded before they are made."""
    record(store, 40, 6)
    alone = filled.post("/v1/plans?store=false", json=asking).get_json()
    start = store.takeoffs.start

    def recorded_meanwhile(*arguments: Any) -> Any:
        record(store, 400, 200, first=100)
        return start(*arguments)

    monkeypatch.setattr(store.takeoffs, "start", recorded_meanwhile)
    id = finished(filled, store, [asking, asking])
    assert [filled.get(f"/v1/takeoffs/{id}/plans/{place}").get_json() for place in (1, 2)] == [alone, alone]


def test_an_order_pools_what_is_learned_and_can_learn_anew(filled: HeldClient, store: Store, asking: Document) -> None:
    """All splices of a form at one rate that is not known for sure; with the records of now where it is asked for."""
    record(store, 40, 6)
    plans = [filled.post("/v1/plans", json=asking).get_json()["id"] for _ in range(2)]
    record(store, 400, 20, first=100)
    as_planned = filled.post("/v1/orders", json={"plans": plans}).get_json()
    anew = filled.post("/v1/orders", json={"plans": plans, "rework": "recorded", "again": True}).get_json()
    for order, joints, remakes in ((as_planned, 40, 6), (anew, 440, 26)):
        spares = next(line["spares"] for line in order["lines"] if line["item"] == "rs-12")
        groups = {group["form"]: group for group in spares["rework"]}
        assert (groups["rollable"]["joints"], groups["rollable"]["remakes"]) == (joints, remakes)
        learned = [
            (g["splices"], Learned(g["form"], g["prior"], g["prior_joints"], g["joints"], g["remakes"]))
            for g in spares["rework"]
        ]
        assert spares["pooled"] == remakes_within(learned, order["confidence"])
        assert spares["separate"] == 2 * sleeve(filled.get(f"/v1/plans/{plans[0]}").get_json())["spares"]
    assert any("learned from the splice records" in note for note in anew["notes"])
    assert filled.get(f"/v1/orders/{anew['id']}").get_json() == anew


def test_an_order_learns_for_plans_that_were_made_at_a_given_rate(
    filled: HeldClient, store: Store, handhole: Document
) -> None:
    """The given rate is then what was known before, as from twenty joints."""
    record(store, 400, 60)
    plan = filled.post("/v1/plans", json=handhole).get_json()["id"]
    order = filled.post("/v1/orders", json={"plans": [plan], "rework": "recorded"}).get_json()
    spares = next(line["spares"] for line in order["lines"] if line["item"] == "rs-12")
    told = {group["form"]: (group["prior"], group["prior_joints"], group["joints"]) for group in spares["rework"]}
    assert told["rollable"] == (0.05, 20, 400)


def test_a_takeoff_at_recorded_rates_is_ordered(filled: HeldClient, store: Store, asking: Document) -> None:
    """Its sums are kept and read back with what they learned; its own pooled spares are no more than the separate."""
    record(store, 40, 6)
    id = finished(filled, store, [asking] * 5)
    totals = filled.get(f"/v1/takeoffs/{id}").get_json()["totals"]["sleeves"]
    pooled = next(each for each in totals if each["sleeve"] == "rs-12")
    order = filled.post("/v1/orders", json={"takeoffs": [id]}).get_json()
    spares = next(line["spares"] for line in order["lines"] if line["item"] == "rs-12")
    assert spares["pooled"] == pooled["spares_pooled"]
    assert {group["form"] for group in spares["rework"]} >= {"rollable"}
