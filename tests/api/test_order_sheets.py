"""Orders as files for people, over HTTP."""

from __future__ import annotations

import csv
import io
import zipfile
from typing import Any

import pytest

from tests.api.held_client import HeldClient

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
FORMS = [("csv", "text/csv"), ("xlsx", XLSX), ("pdf", "application/pdf")]


@pytest.fixture
def order(filled: HeldClient, handhole: dict[str, Any]) -> dict[str, Any]:
    """An order from one plan."""
    plan = filled.post("/v1/plans", json=handhole).get_json()
    made: dict[str, Any] = filled.post("/v1/orders", json={"plans": [plan["id"]], "name": "Lot 1"}).get_json()
    return made


@pytest.mark.parametrize(("ending", "media_type"), FORMS)
def test_a_form_is_had_by_its_path_and_by_accept(
    filled: HeldClient, order: dict[str, Any], ending: str, media_type: str
) -> None:
    """Both are the same bytes with the same tag, which is not that of the JSON."""
    path = f"/v1/orders/{order['id']}"
    own, accepted = filled.get(f"{path}/order.{ending}"), filled.get(path, headers={"Accept": media_type})
    assert own.mimetype == accepted.mimetype == media_type
    assert own.data == accepted.data
    assert own.headers["ETag"] == accepted.headers["ETag"] == f'"1-{ending}"'
    assert accepted.headers["Vary"] == "Accept"
    assert f'order-{order["id"]}.{ending}' in own.headers["Content-Disposition"]
    assert filled.get(f"{path}/order.{ending}", headers={"If-None-Match": f'"1-{ending}"'}).status_code == 304


def test_without_accept_an_order_is_json(filled: HeldClient, order: dict[str, Any]) -> None:
    """And so it is where anything is accepted."""
    path = f"/v1/orders/{order['id']}"
    assert filled.get(path).mimetype == filled.get(path, headers={"Accept": "*/*"}).mimetype == "application/json"


def test_the_csv_has_the_lines_of_the_order(filled: HeldClient, order: dict[str, Any]) -> None:
    """Read back, items, packs and prices are those of the JSON."""
    text = filled.get(f"/v1/orders/{order['id']}/order.csv").get_data(as_text=True)
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    told = [(row["item"], int(row["packs"]), row["price"]) for row in rows]
    assert told == [(line["item"], line["packs"], line["price"]) for line in order["lines"]]


def test_the_workbook_and_the_pages_are_what_they_say(filled: HeldClient, order: dict[str, Any]) -> None:
    """A readable archive and a PDF, the same each time."""
    path = f"/v1/orders/{order['id']}/order"
    workbook, pages = filled.get(f"{path}.xlsx").data, filled.get(f"{path}.pdf").data
    assert zipfile.ZipFile(io.BytesIO(workbook)).testzip() is None
    assert pages.startswith(b"%PDF-")
    assert (filled.get(f"{path}.xlsx").data, filled.get(f"{path}.pdf").data) == (workbook, pages)
