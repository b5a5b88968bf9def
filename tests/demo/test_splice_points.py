"""The demo's splice points are valid, cover the trade, and come out as its story says."""

from __future__ import annotations

from typing import Any

import pytest

from service.api.spec import load_spec
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.faults import Refused
from service.domain.plan import Plan
from service.planning.plan import plan_splice_point

FITTING = 32

LIMITS = {
    "Tollen Row 29, three drops asked of a two-drop closure": {"ports"},
    "Tollen Row 40, old feeder in a small tray": {"bend"},
    "Ostrel Street, 288 and half as much again": {"stack"},
    "Dunmarle Yard, spliced in the van over a long reach": {"stack", "storage"},
    "Wendrel Road, wide ribbons into the low inline": {"slot_kind"},
    "Ammerby exchange, five owners in two trays": {"stack", "tray_count", "keep_apart"},
    "Orrick Kiln, ribbon bundle that may not be divided": {"split"},
    "Pellin Market, ring of 288 through the low inline": {"express"},
}


def test_the_description_allows_every_line(requests: list[dict[str, Any]]) -> None:
    """Forty requests, each a plan request by the published schema, each with a name of its own."""
    validator = load_spec().validator("PlanRequest")
    assert len({request["name"] for request in requests}) == 40
    assert [request["name"] for request in requests if not validator.is_valid(request)] == []


def test_the_first_fit_and_are_proven_best(requests: list[dict[str, Any]], plans: dict[str, Plan]) -> None:
    """Of the first 32 points each fits, and each packing is shown to be the best there is."""
    first = [plans[request["name"]] for request in requests[:FITTING]]
    assert [plan.name for plan in first if not plan.fits or plan.proof is None or not plan.proof.optimal] == []


def test_the_rest_fail_each_for_another_reason(requests: list[dict[str, Any]], plans: dict[str, Plan]) -> None:
    """The last eight name the limits that the story gives them, and no two of them the same set."""
    rest = {request["name"]: plans[request["name"]] for request in requests[FITTING:]}
    assert {name: {reason.limit for reason in plan.reasons} for name, plan in rest.items()} == LIMITS
    assert len({frozenset(limits) for limits in LIMITS.values()}) == len(LIMITS)


def test_every_refusal_shows_a_way_out(requests: list[dict[str, Any]], plans: dict[str, Plan]) -> None:
    """Each point that does not fit has a change that was tried and makes it fit."""
    rest = [plans[request["name"]] for request in requests[FITTING:]]
    assert [plan.name for plan in rest if not any(remedy.verified for remedy in plan.remedies)] == []


CHANGES = {
    "Tollen Row 29, three drops asked of a two-drop closure": ["closure", "ports", "splices"],
    "Tollen Row 40, old feeder in a small tray": ["tray_kind", "closure"],
    "Ostrel Street, 288 and half as much again": ["reserve", "stack", "closure", "splices"],
    "Dunmarle Yard, spliced in the van over a long reach": ["reach", "stack", "closure", "splices"],
    "Wendrel Road, wide ribbons into the low inline": ["split_ribbons", "closure", "tray_kind"],
    "Ammerby exchange, five owners in two trays": ["keep_apart", "stack", "closure", "splices"],
    "Orrick Kiln, ribbon bundle that may not be divided": ["split", "tray_kind", "closure", "splices"],
    "Pellin Market, ring of 288 through the low inline": ["closure"],
}


def test_the_ways_out_are_ranked_by_cost(plans: dict[str, Plan]) -> None:
    """What needs no material comes first, then the cheaper, then what has no known cost; fewer splices last."""
    assert {name: [remedy.change for remedy in plans[name].remedies] for name in CHANGES} == CHANGES


def test_the_part_that_fits_is_told_with_what_is_left_over(plans: dict[str, Plan]) -> None:
    """Of each refusal; all but one of them proven the largest."""
    parts = {name: plans[name].largest_part for name in LIMITS}
    told = {name.split(",")[0]: (part.splices, part.proven) for name, part in parts.items() if part is not None}
    assert told == {
        "Tollen Row 29": (4, True),
        "Tollen Row 40": (0, True),
        "Ostrel Street": (16, True),
        "Dunmarle Yard": (28, True),
        "Wendrel Road": (0, True),
        "Ammerby exchange": (8, True),
        "Orrick Kiln": (6, True),
        # Express storage binds, not the splices: that no part fits was not shown.
        "Pellin Market": (0, False),
    }


def test_they_go_from_two_drops_to_the_hub(plans: dict[str, Plan]) -> None:
    """The smallest has four splices or fewer, the largest joins 3456 fibres as 288 mass splices."""
    splices = [plan.splices for plan in plans.values()]
    assert min(splices) <= 4
    assert max(splices) == 288


def test_every_cable_and_every_closure_in_use_is_asked_for(
    requests: list[dict[str, Any]], catalogue: Catalogue
) -> None:
    """Nothing stands in the catalogue that no splice point needs, but for the retired dome."""
    assert {cable["cable"] for request in requests for cable in request["cables"]} == set(catalogue.cables)
    assert {code for request in requests for code in request.get("closures", ())} == set(catalogue.closures)


def test_they_cover_the_trade(requests: list[dict[str, Any]]) -> None:
    """Several of each: ring cuts, mid-span openings, labels, both reserves, split ribbons, price, crews and places."""

    def rules(request: dict[str, Any]) -> dict[str, Any]:
        given: dict[str, Any] = request.get("rules", {})
        return given

    def express(request: dict[str, Any]) -> bool:
        return any(cable.get("express") for cable in request["cables"])

    def cut_on_both_sides(request: dict[str, Any]) -> bool:
        return any(joint[side].get("end") == "out" for joint in request["joints"] for side in ("from", "to"))

    seen = {
        "ring cut": sum(map(cut_on_both_sides, requests)),
        "mid-span": sum(express(request) and not cut_on_both_sides(request) for request in requests),
        "keep apart": sum(any("keep_apart" in joint for joint in request["joints"]) for request in requests),
        "mixed": sum(len({"ribbons" in joint["from"] for joint in request["joints"]}) == 2 for request in requests),
        "reserve in trays": sum(rules(r).get("reserve", {}).get("in") == "trays" for r in requests),
        "reserve in stack": sum(rules(r).get("reserve", {}).get("in") == "stack" for r in requests),
        "price": sum(rules(r).get("minimise") == "price" for r in requests),
        "crew": sum("crew" in request for request in requests),
        "site": sum("site" in request for request in requests),
        "open choice": sum("closures" not in request for request in requests),
    }
    assert {what for what, count in seen.items() if count < 1} == set()
    assert min(seen["ring cut"], seen["mid-span"], seen["keep apart"], seen["mixed"], seen["price"]) >= 3
    assert min(seen["crew"], seen["site"]) >= 10
    assert sum(any(joint.get("split_ribbons") for joint in request["joints"]) for request in requests) == 1
    assert sum(bool(request.get("existing_trays")) for request in requests) == 1


def test_every_splice_lies_in_one_slot_of_its_own(plans: dict[str, Plan], catalogue: Catalogue) -> None:
    """In each plan that fits no slot is given twice or beyond its bank, every splice is laid once, the stack holds."""
    for plan in plans.values():
        if not plan.fits:
            continue
        slots = [(tray.position, each.bank, each.slot) for tray in plan.trays for each in tray.splices]
        ends = [
            (side.cable, side.end, side.ribbon, side.fibre, side.half)
            for tray in plan.trays
            for each in tray.splices
            for side in (each.from_, each.to)
        ]
        assert len(slots) == len(set(slots)) == plan.splices, plan.name
        assert len(ends) == len(set(ends)) == 2 * plan.splices, plan.name
        for tray in plan.trays:
            model = catalogue.trays[tray.tray].single_banks()
            for bank in tray.banks:
                assert bank.used <= bank.slots == model[bank.bank - 1].get(bank.slot_kind or "", 0), plan.name
        stack = sum(catalogue.trays[tray.tray].pitch_mm for tray in plan.trays)
        assert plan.closure is not None
        assert stack <= catalogue.closures[plan.closure].stack_mm, plan.name


def test_a_joint_that_uses_ribbons_twice_is_refused_with_its_place(
    requests: list[dict[str, Any]], catalogue: Catalogue
) -> None:
    """Handhole 7 with a third joint to fibres of C whose ribbons the second one uses up: a fault at that place."""
    request = next(each for each in requests if each["name"] == "Ferrow Lane, handhole 7")
    third = {"from": {"cable": "B", "fibres": "277-280"}, "to": {"cable": "C", "fibres": "1-4"}}
    wrong = {**request, "joints": [*request["joints"], third]}
    with pytest.raises(Refused) as refused:
        plan_splice_point(request_from(wrong), catalogue)
    assert [fault.pointer for fault in refused.value.faults] == ["/joints/2/to/fibres"]
