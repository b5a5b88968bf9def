"""Plans as sheets for people, over HTTP."""

from __future__ import annotations

import csv
import io
import zipfile
from typing import Any

import pytest

from tests.api.held_client import HeldClient

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
SHEETS = [
    ("schedule.csv", "text/csv"),
    ("materials.csv", "text/csv"),
    ("sheet.pdf", "application/pdf"),
    ("plan.xlsx", XLSX),
]


@pytest.fixture
def plan(filled: HeldClient, handhole: dict[str, Any]) -> dict[str, Any]:
    """A stored plan."""
    made: dict[str, Any] = filled.post("/v1/plans", json=handhole).get_json()
    return made


@pytest.mark.parametrize(("file", "media_type"), SHEETS)
def test_a_sheet_is_had_by_its_path(filled: HeldClient, plan: dict[str, Any], file: str, media_type: str) -> None:
    """With a tag of its own, the same bytes each time, and 304 for who has it."""
    path = f"/v1/plans/{plan['id']}/{file}"
    answer = filled.get(path)
    assert (answer.status_code, answer.mimetype) == (200, media_type)
    assert answer.headers["ETag"] == f'"1-{file}"'
    assert f"plan-{plan['id']}-{file}" in answer.headers["Content-Disposition"]
    assert filled.get(path).data == answer.data
    assert filled.get(path, headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


@pytest.mark.parametrize(("file", "media_type"), [each for each in SHEETS if each[0] != "materials.csv"])
def test_a_sheet_is_had_by_accept(filled: HeldClient, plan: dict[str, Any], file: str, media_type: str) -> None:
    """The plan itself gives the same bytes to who accepts that form, and says that it varies."""
    own = filled.get(f"/v1/plans/{plan['id']}/{file}")
    accepted = filled.get(f"/v1/plans/{plan['id']}", headers={"Accept": media_type})
    assert (accepted.data, accepted.headers["ETag"]) == (own.data, own.headers["ETag"])
    assert accepted.headers["Vary"] == "Accept"


@pytest.mark.parametrize("accept", [None, "*/*", "application/json, text/csv;q=0.5"])
def test_without_such_a_wish_a_plan_is_json(filled: HeldClient, plan: dict[str, Any], accept: str | None) -> None:
    """Who accepts anything gets JSON."""
    headers = {} if accept is None else {"Accept": accept}
    assert filled.get(f"/v1/plans/{plan['id']}", headers=headers).mimetype == "application/json"


def test_the_schedule_is_that_of_the_plan(filled: HeldClient, plan: dict[str, Any]) -> None:
    """As many lines as splices, each in the tray and slot that the JSON says."""
    text = filled.get(f"/v1/plans/{plan['id']}/schedule.csv").get_data(as_text=True)
    told = [(int(row["tray"]), int(row["bank"]), int(row["slot"])) for row in csv.DictReader(io.StringIO(text))]
    assert told == [
        (tray["position"], splice["bank"], splice["slot"]) for tray in plan["trays"] for splice in tray["splices"]
    ]


def test_the_materials_are_those_of_the_plan(filled: HeldClient, plan: dict[str, Any]) -> None:
    """Items, quantities, packs and prices are those of the JSON."""
    text = filled.get(f"/v1/plans/{plan['id']}/materials.csv").get_data(as_text=True)
    told = [
        (row["item"], float(row["quantity"]), int(row["packs"]), row["price"])
        for row in csv.DictReader(io.StringIO(text))
    ]
    assert told == [
        (line["material"], line["quantity"], line["packs"], line.get("price", "")) for line in plan["materials"]
    ]


def test_workbook_and_work_sheet_are_what_they_say(filled: HeldClient, plan: dict[str, Any]) -> None:
    """A readable archive and a PDF."""
    book = filled.get(f"/v1/plans/{plan['id']}/plan.xlsx").data
    assert zipfile.ZipFile(io.BytesIO(book)).testzip() is None
    assert filled.get(f"/v1/plans/{plan['id']}/sheet.pdf").data.startswith(b"%PDF-")


@pytest.mark.parametrize(("file", "media_type"), SHEETS)
def test_a_plan_that_is_not_there_has_no_sheets(filled: HeldClient, file: str, media_type: str) -> None:
    """404, not an empty sheet; and 406 for who accepts another form alone."""
    assert filled.get(f"/v1/plans/{'0' * 32}/{file}").status_code == 404
    assert filled.get(f"/v1/plans/{'0' * 32}/{file}", headers={"Accept": "image/png"}).status_code == 406


def test_a_sheet_is_as_the_catalogue_was(filled: HeldClient, plan: dict[str, Any]) -> None:
    """A title that changes afterwards does not change the sheet of a plan that was made before."""
    path = f"/v1/plans/{plan['id']}/plan.xlsx"
    before = filled.get(path).data
    code = plan["closure"]["code"]
    entry = filled.get(f"/v1/closures/{code}")
    changed = {name: value for name, value in entry.get_json().items() if name != "revision"} | {"title": "Another"}
    put = filled.put(f"/v1/closures/{code}", json=changed, headers={"If-Match": entry.headers["ETag"]})
    assert put.status_code == 200
    assert filled.get(path).data == before
