"""Totals equal an independent sum over the plans, to the last piece and cent."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

import orjson
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy.stats import nbinom

from service.building.demands import plan_demand
from service.building.equals import canonical
from service.building.totals import Totals
from service.building.totals_document import materials_to, totals_to
from tests.building.renamed_points import CATALOGUE, POINTS

PLANS: list[dict[str, Any]] = [
    orjson.loads(plan_demand(CATALOGUE, 1, canonical(point, 0).request).answer or b"null")
    for point in POINTS
    if "hub" not in point["name"]
]


def summed(parts: list[tuple[dict[str, Any], int]]) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The totals of plans, each so many times."""
    totals = Totals()
    for plan, points in parts:
        totals.add(plan, points)
    return totals_to(totals), materials_to(totals)


@given(st.lists(st.tuples(st.sampled_from(PLANS), st.integers(1, 400)), max_size=12))
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_items_are_the_sum_of_the_material_lines(parts: list[tuple[dict[str, Any], int]]) -> None:
    """Quantities, packs and money, reckoned here in thousandths and cents over every single splice point."""
    quantities: Counter[tuple[str, str]] = Counter()
    cents: Counter[tuple[str, str]] = Counter()
    packs: Counter[tuple[str, str]] = Counter()
    for plan, points in parts:
        for line in plan["materials"] if plan["fits"] else ():
            key = line["kind"], line["material"]
            quantities[key] += points * round(line["quantity"] * 1_000_000)
            packs[key] += points * line["packs"]
            cents[key] += points * int(line.get("price", "0.00").replace(".", ""))
    totals, items = summed(parts)
    assert {(item["kind"], item["material"]) for item in items} == set(quantities)
    for item in items:
        key = item["kind"], item["material"]
        assert round(item["quantity"] * 1_000_000) == quantities[key]
        assert item["packs"] == packs[key]
        assert int(item.get("price", "0.00").replace(".", "")) == cents[key]
    assert sum(Decimal(price["price"]) for price in totals["prices"]) == Decimal(sum(cents.values())) / 100


@given(st.lists(st.tuples(st.sampled_from(PLANS), st.integers(1, 400)), max_size=12))
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_counts_are_those_of_the_plans(parts: list[tuple[dict[str, Any], int]]) -> None:
    """Splice points that fit and do not, closures, trays, splices, hours."""
    fitting = [(plan, points) for plan, points in parts if plan["fits"]]
    totals, _ = summed(parts)
    assert totals["fitting"] == sum(points for _, points in fitting)
    assert totals["fitting"] + totals["not_fitting"] == sum(points for _, points in parts)
    assert totals["splices"] == sum(points * plan["splices"] for plan, points in fitting)
    closures = Counter[str]()
    trays = Counter[tuple[str, bool]]()
    for plan, points in fitting:
        closures[plan["closure"]["code"]] += points
        for tray in plan["trays"]:
            trays[tray["tray"], tray["new"]] += points
    assert {row["closure"]: row["points"] for row in totals["closures"]} == closures
    for row in totals["trays"]:
        assert row["new"] == trays[row["tray"], True]
        assert row["quantity"] == trays[row["tray"], True] + trays[row["tray"], False]
    hours = sum(Decimal(str(plan["crew"]["hours_median"])) * points for plan, points in fitting if "crew" in plan)
    assert Decimal(str(totals.get("crew", {"hours_median": 0})["hours_median"])) == hours


def test_pooled_spares_are_those_of_all_splices_together() -> None:
    """One rate for all: as many as the negative binomial distribution asks (SciPy), and fewer than the separate sum."""
    point = next(plan for plan in PLANS if plan["fits"] and len(plan["certificate"]["sleeves"]) == 1)
    groups = point["certificate"]["sleeves"][0]["rework"]
    assert len(groups) == 1
    totals, _ = summed([(point, 200)])
    row = totals["sleeves"][0]
    splices, rate = 200 * groups[0]["splices"], groups[0]["rate"]
    assert row["splices"] == splices
    assert row["spares_pooled"] == int(nbinom.ppf(row["confidence"], splices, 1 - rate))
    assert row["spares_separate"] == 200 * point["sleeves"][0]["spares"] > row["spares_pooled"]


@pytest.mark.parametrize("points", [1, 3])
def test_a_single_plan_is_its_own_total(points: int) -> None:
    """So the pooled spares of one splice point are the plan's."""
    plan = next(plan for plan in PLANS if plan["fits"])
    totals, items = summed([(plan, 1)] * points)
    assert len(items) == len(plan["materials"])
    if points == 1:
        assert [row["quantity_pooled"] for row in totals["sleeves"]] == [row["quantity"] for row in plan["sleeves"]]
