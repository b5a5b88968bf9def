"""A plan that does not fit and was changed by hand is found out, at the place that was changed."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from functools import cache
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.domain.request import Reserve
from service.verifying import verify
from tests.planning.mending.points import CATALOGUE, straight
from tests.small_catalogue import request_for, ribbon_joint
from tests.verifying.mutants import Path, members, other_values, pattern_of, with_value, without
from tests.verifying.plans import demo_plans, written
from tests.verifying.test_corrupted_plans import add, put

Plan = dict[str, Any]
Change = Callable[[Plan], None]


@cache
def refused() -> Plan:
    """18 ribbons and 60 % in reserve in three trays of six: remedies of most kinds, a part with and without cuts."""
    plan = written(straight(18, reserve=Reserve(60.0)), CATALOGUE)
    assert not plan["fits"] and {"largest_part", "largest_part_undivided"} <= set(plan)
    return plan


@cache
def too_few_entries() -> Plan:
    """Six drops and a feeder for four entries."""
    cables = {"F": "flat-288", **{f"D{n}": "drop-24" for n in range(6)}}
    joints = [ribbon_joint("F", str(n + 1), f"D{n}", "1") for n in range(6)]
    return written(request_for(cables, joints, ("dome-24",)), CATALOGUE)


def place_of(plan: Plan, change: str) -> int:
    """Where the remedy of a kind stands."""
    return next(place for place, remedy in enumerate(plan["remedies"]) if remedy["change"] == change)


def of(change: str, member: str, value: Any) -> Change:
    """Another value in the remedy of a kind."""
    return lambda plan: plan["remedies"][place_of(plan, change)].update({member: value})


def last_first(plan: Plan) -> None:
    plan["remedies"].reverse()


def cost_at_the_end(plan: Plan) -> None:
    plan["remedies"][place_of(plan, "closure")]["cost"] = "0.01"


def no_reason(plan: Plan) -> None:
    plan["reasons"] = []


def part_forgotten(plan: Plan) -> None:
    del plan["largest_part"]


def left_over_forgotten(plan: Plan) -> None:
    plan["largest_part"]["left_over"].pop()


def left_over_twice(plan: Plan) -> None:
    left = plan["largest_part"]["left_over"]
    left[1]["bundle"] = left[0]["bundle"]


def undecided(plan: Plan) -> None:
    plan["reasons"][0].update(limit="undecided")


CASES: list[tuple[Change, str]] = [
    (put("trays", value=[]), "/trays"),
    (put("proof", value={}), "/proof"),
    (no_reason, "/reasons"),
    (put("reasons", 0, "need", value=36), "/reasons/0/need"),
    (put("reasons", 0, "limit", value="mood"), "/reasons/0/limit"),
    (undecided, "/remedies"),
    (part_forgotten, "/largest_part"),
    (add("largest_part", "splices", more=1), "/largest_part"),
    (put("largest_part", "splices", value=18), "/largest_part/splices"),
    (add("largest_part", "at_most", more=1), "/largest_part/proven"),
    (add("largest_part", "at_most", more=-1), "/largest_part/at_most"),
    (put("largest_part", "proven", value=False), "/largest_part/proven"),
    (put("largest_part", "closure", value="dome-48"), "/largest_part/closure"),
    (put("largest_part", "cables_left_out", value=["Z"]), "/largest_part/cables_left_out/0"),
    (left_over_forgotten, "/largest_part/left_over"),
    (left_over_twice, "/largest_part/left_over/1/bundle"),
    (add("largest_part", "left_over", 0, "splices", more=1), "/largest_part/left_over"),
    (put("largest_part", "left_over", 0, "splices", value=7), "/largest_part/left_over/0/splices"),
    (put("largest_part", "left_over", 0, "bundle", value=5), "/largest_part/left_over/0/bundle"),
    (put("largest_part", "left_over", 0, "joint", value="/joints/x"), "/largest_part/left_over/0/joint"),
    (put("largest_part", "left_over", 0, "from", "ribbons", value="1-3"), "/largest_part/left_over/0/from/ribbons"),
    (put("largest_part", "left_over", 0, "to", "ribbons", value="3-"), "/largest_part/left_over/0/to/ribbons"),
    (put("largest_part_undivided", "splices", value=11), "/largest_part_undivided"),
    (last_first, "/remedies"),
    (cost_at_the_end, "/remedies"),
    (of("reserve", "verified", False), "/remedies/0/verified"),
    (of("reserve", "buys", True), "/remedies/0/buys"),
    (of("reserve", "amount", 60), "/remedies/0"),
    (of("reserve", "to", "3"), "/remedies/0/to"),
    (of("reserve", "cost", "1.00"), "/remedies/0"),
    (of("reserve", "change", "mood"), "/remedies/0/change"),
    (of("closure", "currency", None), "/remedies"),
    (of("closure", "cost", "a lot"), "/remedies"),
    (of("splices", "amount", 16), "/remedies"),
    (of("stack", "to", "r12"), "/remedies"),
]


@pytest.mark.parametrize(
    ("change", "pointer"), CASES, ids=[f"{n}-{pointer[1:]}" for n, (_, pointer) in enumerate(CASES)]
)
def test_a_corrupted_refusal_is_found_out(change: Change, pointer: str) -> None:
    """A breach stands at the place, or at what it goes against."""
    plan = deepcopy(refused())
    change(plan)
    told = [breach.pointer for breach in verify(plan).breaches]
    assert any(each.startswith(pointer) for each in told), told


@pytest.mark.parametrize(("member", "value"), [("entries", 2), ("od_min_mm", 9.5)])
def test_a_corrupted_port_kit_is_found_out(member: str, value: float) -> None:
    """Its entries are the remedy's, and its range is one."""
    plan = deepcopy(too_few_entries())
    plan["remedies"][place_of(plan, "ports")]["port"][member] = value
    assert verify(plan).breaches


def test_refusals_as_they_are_given_break_no_rule() -> None:
    """Those of the demo, and those that are corrupted here."""
    for plan in (*demo_plans(), refused(), too_few_entries()):
        if not plan["fits"]:
            assert verify(plan).breaches == (), plan["name"]


PARTS = ("largest_part", "largest_part_undivided")


@st.composite
def changed(draw: st.DrawFn) -> tuple[Path, Plan]:
    """A refusal with one member of its parts changed or left out."""
    plan = draw(st.sampled_from([refused(), too_few_entries()]))
    found = [path for path, _ in members(plan) if path[0] in PARTS and len(path) > 1]
    path = draw(st.sampled_from(found))
    if draw(st.integers(0, 3)) == 0:
        return path, without(plan, path)
    value = plan
    for part in path:
        value = value[part]  # type: ignore[index]
    return path, with_value(plan, path, draw(st.sampled_from(other_values(value))))


@given(changed())
@settings(max_examples=600, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_changed_part_is_found_out_but_for_names(change: tuple[Path, Plan]) -> None:
    """What goes unnoticed names something: which bundle it is, of which joint, cable, tube or label, of how many."""
    path, plan = change
    if verify(plan).breaches or plan in (refused(), too_few_entries()):
        return
    member = pattern_of(path).rsplit("/", 1)[-1]
    assert member in {"bundle", "joint", "of", "fibres", "keep_apart", "cable", "tube", "ribbons", "*"}, path
    if member == "*":
        assert path[-2] == "cables_left_out"
