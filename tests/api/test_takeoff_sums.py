"""What a takeoff needs, and what few kinds of closure cost, in every form."""

from __future__ import annotations

import csv
import io
from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest
from openpyxl import load_workbook

from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import finished, sent

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@pytest.fixture
def build(filled: HeldClient, store: Store, handhole: dict[str, Any], mid_span: dict[str, Any]) -> str:
    """A finished takeoff of five splice points in two kinds, one of them with a name like a formula."""
    points = [deepcopy(handhole) | {"name": name} for name in ("=1+1", "b", "c")] + [mid_span, mid_span]
    return finished(filled, store, points, "?name=Build")


def by_hand(client: HeldClient, id: str) -> dict[str, tuple[Decimal, Decimal]]:
    """Quantity and price of each item, added up over the plans as they are read one by one."""
    sums: dict[str, tuple[Decimal, Decimal]] = {}
    for item in client.get(f"/v1/takeoffs/{id}/plans").get_json()["items"]:
        for line in item["plan"]["materials"]:
            quantity, price = sums.get(line["material"], (Decimal(0), Decimal(0)))
            price += Decimal(line.get("price", "0"))
            sums[line["material"]] = quantity + Decimal(str(line["quantity"])), price
    return sums


def test_materials_are_the_plans_added_up(filled: HeldClient, build: str) -> None:
    """As JSON, as CSV and in the workbook, to the last piece and cent."""
    expected = by_hand(filled, build)
    items = filled.get(f"/v1/takeoffs/{build}/materials").get_json()["items"]
    told = {item["material"]: (Decimal(str(item["quantity"])), Decimal(item.get("price", "0"))) for item in items}
    assert told == expected
    table = csv.DictReader(io.StringIO(filled.get(f"/v1/takeoffs/{build}/materials.csv").get_data(as_text=True)))
    rows = {row["item"]: (Decimal(row["quantity"]), Decimal(row["price"] or "0")) for row in table}
    assert rows == expected
    book = load_workbook(io.BytesIO(filled.get(f"/v1/takeoffs/{build}/materials.xlsx").get_data()))
    sheet = {row[1]: row for row in book["By item"].iter_rows(values_only=True) if row[1] in expected}
    assert {code: Decimal(str(row[5])) for code, row in sheet.items()} == {code: q for code, (q, _) in expected.items()}


def test_a_form_is_chosen_by_accept(filled: HeldClient, build: str) -> None:
    """The same answer as at the addresses of their own."""
    for kind, ending in (("text/csv", "csv"), (XLSX, "xlsx")):
        by_accept = filled.get(f"/v1/takeoffs/{build}/materials", headers={"Accept": kind})
        assert by_accept.mimetype == kind
        assert by_accept.get_data() == filled.get(f"/v1/takeoffs/{build}/materials.{ending}").get_data()


def test_what_a_takeoff_needs_is_not_told_before_it_is_known(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """409 with a time to ask again, and the same for a plan that is not there yet."""
    place = sent(filled, [handhole]).headers["Location"]
    for path in ("materials", "materials.csv", "materials.xlsx", "plans/1"):
        answer = filled.get(f"{place}/{path}")
        assert answer.status_code == 409 and answer.headers["Retry-After"]


def test_few_kinds_of_closure_are_chosen_and_kept_to(
    filled: HeldClient, store: Store, handhole: dict[str, Any], mid_span: dict[str, Any]
) -> None:
    """One model for all where one is asked for; the table and the plot tell what that costs."""
    points = [{name: value for name, value in point.items() if name != "closures"} for point in (handhole, mid_span)]
    place = f"/v1/takeoffs/{finished(filled, store, points, '?closure_kinds=1')}"
    takeoff = filled.get(place).get_json()
    chosen = takeoff["closure_kinds"]["chosen"]
    assert len(chosen) == 1
    assert [row["closure"] for row in takeoff["totals"]["closures"]] == chosen
    table = filled.get(f"{place}/closure-kinds").get_json()
    assert [share["closure"] for share in table["chosen"]["closures"]] == chosen
    assert table["chosen"]["optimal"] and table["rows"][0]["most"] == 1
    plot = filled.get(f"{place}/closure-kinds.svg")
    assert plot.get_data().startswith(b"<svg")
    assert filled.get(f"{place}/closure-kinds", headers={"Accept": "image/svg+xml"}).get_data() == plot.get_data()


def test_a_closure_that_some_splice_point_insists_on_comes_before_a_cheaper_one(
    filled: HeldClient, store: Store, handhole: dict[str, Any], catalogue: dict[str, Any]
) -> None:
    """Few splice points left without a closure come before a low price; one that names another closure is told so."""
    dearer = next(entry for entry in catalogue["closures"] if entry["code"] == "dome-48") | {"code": "dear-48"}
    dearer["price"] = "9999.00"
    first = {"If-None-Match": "*"}
    assert filled.put("/v1/closures/dear-48", json=dearer, headers=first).status_code == 201
    free = {name: value for name, value in handhole.items() if name != "closures"}
    bound = {**free, "closures": ["dear-48"]}
    place = f"/v1/takeoffs/{finished(filled, store, [free, free, bound], '?closure_kinds=1')}"
    assert filled.get(place).get_json()["closure_kinds"]["chosen"] == ["dear-48"]
    points = [free, {**free, "closures": ["dome-48"]}, bound]
    place = f"/v1/takeoffs/{finished(filled, store, points, '?closure_kinds=1')}"
    told = filled.get(place).get_json()
    assert told["closure_kinds"]["chosen"] == ["dome-48"]
    assert [(each["place"], each["faults"][0]["code"]) for each in told["faulty"]] == [(3, "not_chosen")]


def test_closure_kinds_that_were_not_asked_for_are_not_there(filled: HeldClient, build: str) -> None:
    """404, the table and the plot."""
    for path in ("closure-kinds", "closure-kinds.svg"):
        assert filled.get(f"/v1/takeoffs/{build}/{path}").status_code == 404
