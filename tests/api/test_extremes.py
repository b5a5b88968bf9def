"""Whatever the schema lets pass is planned or refused, and never ends in a 500."""

from __future__ import annotations

import random
from copy import deepcopy
from typing import Any

import pytest

from tests.api.held_client import HeldClient

RULES = {
    "reach_mm": (0, 100_000),
    "remakes": (0, 100),
    "confidence": (0.5, 0.9999),
    "rework": (0, 0.9),
    "rework_sleeve": (0, 0.9),
    "rework_fibre": (0, 0.09),
    "overlap_mm": (0, 1000),
    "storage_fill": (0.001, 1),
    "bend_allowance_db": (0, 100),
    "spare_entries": (0, 100),
    "spare_trays": (0, 1000),
    "storage_radius_mm": ({"G.652.D": 0.001}, {"G.652.D": 100_000}),
    "reserve": ({"percent": 0, "in": "stack"}, {"percent": 500, "in": "trays"}, {"percent": 500, "in": "stack"}),
    "keep": ("tube", "joint", "none"),
    "split": ("never", "oversize", "free"),
    "minimise": ("trays", "price"),
    "stored_ends": ("storage", "slots"),
    "rated_for_all": (True, False),
}
CREW = {
    "technicians": (1, 100),
    "splicers": (1, 100),
    "heaters": (1, 100),
    "window_h": (0.001, 1000),
    "setup_min": (0, 10_000),
    "cable_prep_min": (0, 10_000),
    "closing_min": (0, 10_000),
}
FIGURES = {
    "sleeves": {"length_mm": (0.001, 100_000), "width_mm": (0.001, 100_000), "pack_of": (1, 1_000_000)},
    "trays": {
        "pitch_mm": (0.001, 100_000),
        "turn_mm": (0.001, 100_000),
        "bend_radius_mm": (0.001, 100_000),
        "entry_mm": (0, 100_000),
        "storage_mm2": (0.001, 1_000_000),
        "sleeve_length_max_mm": (0.001, 100_000),
        "entry_ribbons_max": (1, 10_000),
        "flat_turns_max": (0, 1000),
        "price": ("0", "999999999.99"),
        "banks": ([{"count": 1, "slots": {"single": 1}}], [{"count": 100, "slots": {"ribbon-12": 1000}}]),
    },
    "closures": {
        "stack_mm": (0.001, 100_000),
        "lead_mm": (0, 100_000),
        "opening_step_mm": (0.001, 100_000),
        "mass_kg": (0.001, 10_000),
        "express_mm2": (0.001, 1_000_000),
        "express_turn_mm": (0.001, 100_000),
        "length_mm": (0.001, 100_000),
        "diameter_mm": (0.001, 100_000),
        "rated_ribbon_fibres": (1, 1_000_000),
        "price": ("0", "999999999.99"),
    },
    "cables": {
        "od_mm": (0.001, 100_000),
        "fibres": (1, 20_000),
        "ribbon_fibres": (1, 100),
        "ribbons_per_tube": (1, 1000),
        "pitch_um": (50, 1000),
        "tube_od_mm": (0.001, 100_000),
        "bend_factor": (0.001, 1000),
        "fibre": ("?", "G.657.A2"),
        "ribbon_form": ("flat", "rollable", "loose"),
        "ribbonise": (True, False),
    },
    "methods": {
        "strip_dwell_s": (0, 100_000),
        "strip_repeats": (1, 100),
        "cleave_length_mm": (0.001, 100_000),
        "rework": (0, 0.9),
        "cutback_mm": (0.001, 100_000),
        "fuse_s": (0, 100_000),
        "fibres": (1, 100),
    },
    "materials": {"quantity": (0.000001, 1_000_000), "pack_of": (1, 1_000_000), "price": ("0", "999999999.99")},
}


def with_extremes(document: dict[str, Any], figures: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """The document with one to three figures at the ends of what the schema allows."""
    names = chance.sample(sorted(figures), chance.choice((1, 1, 2, 3)))
    return {**document, **{name: chance.choice(figures[name]) for name in names}}


@pytest.mark.parametrize("seed", range(8))
def test_every_figure_at_the_end_of_its_range_is_survived(
    filled: HeldClient, catalogue: dict[str, Any], handhole: dict[str, Any], mid_span: dict[str, Any], seed: int
) -> None:
    """Rules, crew, site and catalogue figures at their ends, seeded: answers as described, or refusals with faults."""
    chance = random.Random(seed)
    statuses = []
    for _ in range(25):
        changed = deepcopy(catalogue)
        kind = chance.choice(sorted(FIGURES))
        changed[kind] = [with_extremes(entry, FIGURES[kind], chance) for entry in changed[kind]]
        filled.put("/v1/catalogue", json=changed, headers={"If-Match": "*"})
        for request in (handhole, mid_span):
            body = deepcopy(request)
            body["rules"] = with_extremes(body.get("rules", {}), RULES, chance)
            body["crew"] = with_extremes({}, CREW, chance)
            body["site"] = {
                "kind": "pole",
                **dict.fromkeys(("length_mm", "width_mm", "depth_mm"), chance.choice((0.001, 1e5))),
            }
            if chance.random() < 0.3:
                body["closures"] = []
            for path in ("/v1/plans?store=false", "/v1/fit-checks"):
                response = filled.post(path, json=body)
                assert response.status_code in (200, 422), response.get_data(as_text=True)
                statuses.append(response.status_code)
    assert 200 in statuses
