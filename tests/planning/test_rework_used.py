"""Plans at remake rates learned from records."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from service.documents.plan import plan_to
from service.documents.plan_reading import plan_from
from service.documents.rework import tallies_of_plan
from service.domain.catalogue import Method
from service.domain.faults import Refused
from service.domain.plan import Plan
from service.domain.records import Tally
from service.domain.request import Crew
from service.domain.rework import Learned
from service.planning.plan import plan_splice_point
from service.planning.spares import remakes_within
from service.verifying import verify
from tests.planning.test_plan import CATALOGUE, backbone
from tests.small_catalogue import request_for, ribbon_joint

RECORDED = (Tally("rollable", 200, 30, 11), Tally("single", 400, 6, 2))


def recorded(**rules: object) -> Plan:
    """The backbone point at the recorded rates, with a crew."""
    request = replace(backbone(**{"rework": "recorded", **rules}), crew=Crew())
    return plan_splice_point(request, CATALOGUE, recorded=RECORDED)


def written(plan: Plan) -> dict[str, Any]:
    """The plan as callers get it."""
    document: dict[str, Any] = json.loads(json.dumps(plan_to(plan)))
    return document


def test_sleeves_last_at_what_the_records_have_taught() -> None:
    """22 ribbons to rollable at 8 % as from 20 joints and 11 lost sleeves in 200; 2 flat ones at the prior alone."""
    by_sleeve = {count.sleeve: count for count in recorded().sleeves}
    rollable, flat = Learned("rollable", 0.08, 20, 200, 11), Learned("flat", 0.05, 20, 0, 0)
    assert by_sleeve["rs-12"].spares == remakes_within([(22, rollable), (2, flat)], 0.95)
    assert by_sleeve["rs-12"].rework == pytest.approx((22 * rollable.mean + 2 * flat.mean) / 24)
    assert by_sleeve["s1-40"].spares == remakes_within([(4, Learned("single", 0.02, 20, 400, 2))], 0.95)


def test_the_plan_says_what_it_learned() -> None:
    """Joints, all remakes and those after shrinking by form, and the rate of all remakes with its interval."""
    rates = {rate.form: rate for rate in recorded().recorded or ()}
    assert set(rates) == {"flat", "rollable", "single"}
    told = rates["rollable"]
    assert (told.joints, told.remakes, told.remakes_after_shrinking) == (200, 30, 11)
    assert told.rate == pytest.approx((20 * 0.08 / 0.92 + 30) / (20 * 0.08 / 0.92 + 30 + 220))
    assert told.low < told.rate < told.high


def test_a_form_without_records_is_told() -> None:
    """The flat ribbons rest on the method alone, and the plan says so."""
    notes = [note for note in recorded().notes if "no splice record" in note]
    assert len(notes) == 1 and "flat ribbons" in notes[0] and "5 %" in notes[0]


def test_the_crew_reckons_with_all_remakes() -> None:
    """More remakes before shrinking make the work longer and no sleeve more."""
    more = tuple(tally._replace(remakes=tally.remakes + 40) for tally in RECORDED)
    plan = plan_splice_point(replace(backbone(rework="recorded"), crew=Crew()), CATALOGUE, recorded=more)
    assert plan.sleeves == recorded().sleeves
    assert plan.crew is not None and plan.crew.hours_median > recorded().crew.hours_median  # type: ignore[union-attr]
    assert any("learned from records" in line for line in plan.crew.assumptions)


def test_a_plan_comes_out_the_same_from_what_it_says_of_the_records() -> None:
    """The tallies in the answer are all that it takes, whatever was recorded since."""
    first = written(recorded())
    request = replace(backbone(rework="recorded"), crew=Crew())
    assert written(plan_splice_point(request, CATALOGUE, recorded=tallies_of_plan(first))) == first


def test_a_plan_at_recorded_rates_is_read_back() -> None:
    """What it learned is there again."""
    plan = recorded()
    assert [rate.form for rate in plan_from(written(plan)).recorded or ()] == ["flat", "rollable", "single"]
    assert plan_from(written(plan)).rules.rework == "recorded"


def test_records_do_not_touch_a_plan_that_does_not_ask_for_them() -> None:
    """A given rate stays as given, and nothing is told of records."""
    assert plan_splice_point(backbone(), CATALOGUE, recorded=RECORDED) == plan_splice_point(backbone(), CATALOGUE)


def test_a_given_rate_of_sleeves_stands_beside_recorded_remakes() -> None:
    """Sleeves by the request, the crew by the records."""
    plan = recorded(rework_sleeve=0.03)
    assert [count.rework for count in plan.sleeves] == pytest.approx([0.03, 0.03])
    assert plan.recorded is not None


def test_a_fibres_rate_beside_recorded_ones_is_refused() -> None:
    """Which of the two is meant cannot be told."""
    with pytest.raises(Refused) as refusal:
        recorded(rework_fibre=0.01)
    assert [fault.pointer for fault in refusal.value.faults] == ["/rules/rework_fibre"]


def test_a_method_says_what_its_prior_is_worth() -> None:
    """Of the two ends of a splice the higher prior counts: the catalogue's 10 %, worth 500 joints instead of 20."""
    method = Method("roll", "Rollable", "rollable", rework=0.1, rework_joints=500)
    catalogue = replace(CATALOGUE, methods={"roll": method})
    plan = plan_splice_point(backbone(rework="recorded"), catalogue, recorded=RECORDED)
    told = {rate.form: rate for rate in plan.recorded or ()}["rollable"]
    assert (told.prior, told.prior_joints) == (0.1, 500)
    remakes = 500 * 0.1 / 0.9 + 30
    assert told.rate == pytest.approx(remakes / (remakes + 700))
    assert verify(written(plan)).breaches == ()


def corrupted(change: Any) -> list[str]:
    """The places of the breaches in a plan that was changed."""
    document = written(recorded())
    change(document)
    return [breach.pointer for breach in verify(document).breaches]


def test_the_checker_finds_the_spares_with_arithmetic_of_its_own() -> None:
    """A plan at learned rates holds; one sleeve more or fewer is found."""
    assert corrupted(lambda document: None) == []
    for more in (-1, 1):

        def change(document: dict[str, Any], more: int = more) -> None:
            line = document["sleeves"][0]
            line["spares"] += more
            line["quantity"] += more

        assert "/sleeves/0/spares" in corrupted(change)


def test_the_checker_holds_rates_against_the_records_that_are_named() -> None:
    """Records that are not those of the certificate, a posterior that does not follow, none named at all."""

    def fewer(document: dict[str, Any]) -> None:
        document["recorded"][1]["remakes_after_shrinking"] = 3

    def dropped(document: dict[str, Any]) -> None:
        del document["recorded"]

    def bent(document: dict[str, Any]) -> None:
        document["certificate"]["sleeves"][0]["rework"][0]["alpha"] += 1

    assert "/certificate/sleeves/0/rework" in corrupted(fewer)
    assert "/recorded" in corrupted(dropped)
    assert corrupted(bent)[0].startswith("/certificate/sleeves/0/rework/0/")


def test_two_priors_of_a_form_are_one_rate() -> None:
    """Ribbons of 12 and split 24s, both flat, by methods that differ: one shared rate, as the checker finds too."""
    request = request_for(
        {"A": "flat-288", "B": "flat-288", "F": "flat-24s"},
        [ribbon_joint("A", "1-12", "B", "1-12"), ribbon_joint("F", "1-2", "B", "21-24", split_ribbons=True)],
        rework="recorded",
        confidence=0.99,
    )
    methods = {
        "f12": Method("f12", "Twelves", "flat", fibres=12, rework=0.05, rework_joints=10),
        "f24": Method("f24", "Others", "flat", rework=0.2, rework_joints=10),
    }
    cables = dict(CATALOGUE.cables)
    cables["flat-24s"] = replace(cables["flat-24s"], method="f24")
    catalogue = replace(CATALOGUE, methods=methods, cables=cables)
    plan = plan_splice_point(request, catalogue, recorded=(Tally("flat", 30, 4, 4),))
    (count,) = plan.sleeves
    assert [rate.prior for rate in plan.recorded or ()] == [0.05, 0.2]
    assert count.spares == remakes_within([(count.splices, Learned("flat", 0.2, 10, 30, 4))], 0.99)
    assert count.spares > remakes_within([(12, Learned("flat", 0.05, 10, 30, 4))], 0.99)
    assert verify(written(plan)).breaches == ()
