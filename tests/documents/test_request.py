"""Plan requests as documents, and back."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from service.documents.request import request_from, request_to, rules_from, rules_to
from service.domain.request import (
    Crew,
    ExistingBank,
    ExistingTray,
    HangingCable,
    PlanRequest,
    Reserve,
    Rules,
    Site,
)

CABLES = [{"tag": "A", "cable": "flat-288"}, {"tag": "B", "cable": "roll-288", "slack_m": 15, "express": True}]
HANGING = {"ports": ["oval-1", "round-2"], "cut": "1-24", "spliced": "1-12", "spliced_out": "1,3-12", "window_mm": 2400}
JOINT = {"from": {"cable": "A", "ribbons": "1-4,9"}, "to": {"cable": "B", "ribbons": "5-9", "end": "out"}}
FULL: dict[str, Any] = {
    "name": "Ferrow Lane",
    "closures": ["dome-48"],
    "cables": [*CABLES, {"tag": "C", "cable": "roll-288", "express": True, "hanging": HANGING}],
    "joints": [
        {**JOINT, "keep_apart": "lease", "split_ribbons": True},
        {"from": {"cable": "A", "fibres": "1-12"}, "to": {"cable": "B", "fibres": "13-24"}},
    ],
    "rules": {
        "minimise": "price",
        "keep": "joint",
        "split": "free",
        "reserve": {"percent": 20, "in": "stack"},
        "reach_mm": 800,
        "remakes": 3,
        "confidence": 0.9,
        "rework": 0.05,
        "rework_sleeve": 0.01,
        "rework_fibre": None,
        "overlap_mm": 5,
        "storage_fill": 0.6,
        "storage_radius_mm": {"G.652.D": 37.5},
        "bend_allowance_db": 0.1,
        "stored_ends": "slots",
        "rated_for_all": True,
        "spare_entries": 1,
        "spare_trays": 2,
    },
    "crew": {
        "technicians": 2,
        "splicers": 1,
        "heaters": 2,
        "window_h": 6,
        "setup_min": 20,
        "cable_prep_min": 25,
        "closing_min": 40,
    },
    "site": {"kind": "vault", "length_mm": 1200, "width_mm": 900, "depth_mm": 900},
    "existing_trays": [
        {
            "tray": "r6",
            "banks": [{"bank": 1, "slot_kind": "single", "used": 3, "taken": "1,4-5"}],
            "keep_apart": "lease",
            "storage_used_mm2": 40,
            "ribbons": 2,
        }
    ],
    "headroom": True,
}


def test_a_document_with_every_member_comes_back_as_it_was() -> None:
    """Nothing that a caller can say is lost or changed on the way in and out."""
    assert request_to(request_from(FULL)) == FULL


def test_the_document_with_every_member_leaves_none_out() -> None:
    """The claim above is about every member of the domain's objects."""
    names = {"from_": "from", "in_": "in"}
    for document, thing in (
        (FULL, PlanRequest),
        (FULL["rules"], Rules),
        (FULL["rules"]["reserve"], Reserve),
        (FULL["crew"], Crew),
        (FULL["cables"][2]["hanging"], HangingCable),
        (FULL["existing_trays"][0], ExistingTray),
        (FULL["existing_trays"][0]["banks"][0], ExistingBank),
        (FULL["site"], Site),
    ):
        assert set(document) == {names.get(field.name, field.name) for field in fields(thing)}


def test_what_is_left_out_has_the_domains_default() -> None:
    """The least document gives the dataclasses' own defaults."""
    request = request_from({"cables": CABLES[:1], "joints": [JOINT]})
    assert (request.name, request.closures, request.rules, request.crew, request.site) == ("", (), Rules(), None, None)
    assert request.existing_trays == ()
    assert request.joints[0].from_.end == "in"
    assert rules_from({"reserve": {"in": "stack"}}).reserve == Reserve(0.0, "stack")


def test_rules_are_written_whole_and_the_same_however_they_were_given() -> None:
    """900 and 900.0 are written alike; what is unset is null; maps are in the order of their names."""
    given = rules_from({"reach_mm": 900, "storage_radius_mm": {"G.657.A1": 20.0, "G.652.D": 30}})
    text = str(rules_to(given))
    assert "'reach_mm': 900," in text
    assert "{'G.652.D': 30, 'G.657.A1': 20}" in text
    assert rules_to(given)["rework"] is None
    assert str(rules_to(Rules())) == str(rules_to(rules_from(rules_to(Rules()))))
