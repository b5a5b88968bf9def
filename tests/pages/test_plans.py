"""Plans on pages: found, and read."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from service.pages.splice_runs import runs_of
from tests.api.held_client import HeldClient
from tests.pages.seen import Seen


def test_a_plan_is_found_by_a_part_of_its_name(browser: FlaskClient, plan: dict[str, Any]) -> None:
    """In either case of letters; another text finds nothing and says so."""
    assert f"/plans/{plan['id']}" in [each["href"] for each in Seen(browser.get("/plans?name=FERROW")).all("a")]
    assert "No plan has this in its name" in Seen(browser.get("/plans?name=quay")).text


def test_long_lists_go_on_on_a_further_page(
    browser: FlaskClient, filled: HeldClient, mid_span: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every plan is on one of the pages, none on two, and the search goes with them; a false cursor is 400."""
    monkeypatch.setattr("service.pages.lists.PER_PAGE", 2)
    made = {filled.post("/v1/plans", json={**mid_span, "name": f"Quay {n}"}).get_json()["id"] for n in range(5)}
    address, found = "/plans?name=quay", []
    for _ in range(3):
        links = [each["href"] for each in Seen(browser.get(address)).all("a")]
        found += [link.removeprefix("/plans/") for link in links if link.startswith("/plans/")]
        address = next((link for link in links if "cursor=" in link), "")
    assert set(found) == made and len(found) == 5 and address == ""
    assert browser.get("/plans?cursor=nonsense").status_code == 400


def test_a_plan_is_told_whole(browser: FlaskClient, plan: dict[str, Any]) -> None:
    """The verdict first; every tray, port, opening, sleeve, material and note of the plan is on the page."""
    answer = browser.get(f"/plans/{plan['id']}")
    page = Seen(answer)
    assert len(answer.get_data()) < 30_000
    content = page.text.partition("Catalogue")[2].strip()
    assert content.startswith(f"{plan['name']} It fits dome-48, 3 trays for 24 splices")
    for tray in plan["trays"]:
        assert f"Tray {tray['position']}: {tray['tray']}" in page.text
    for text in [line["title"] for line in plan["materials"]] + [port["port"] for port in plan["ports"]]:
        assert text in page.text
    for text in (f"{each['sheath_opening_mm']:,}".replace(",", " ") for each in plan["slack"]):
        assert text in page.text
    assert all(" ".join(caution.split()) in page.text for caution in plan["cautions"])


def test_the_sheets_that_this_server_makes_are_linked_and_can_be_fetched(
    browser: FlaskClient, plan: dict[str, Any]
) -> None:
    """Every link under a plan's own address leads somewhere."""
    links = [each["href"] for each in Seen(browser.get(f"/plans/{plan['id']}")).all("a")]
    for link in links:
        if link.startswith("/v1/"):
            assert browser.get(link).status_code == 200


def test_a_plan_that_does_not_fit_says_why(browser: FlaskClient, filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Reasons, and no trays."""
    handhole["rules"]["reserve"] = {"percent": 400, "in": "trays"}
    plan = filled.post("/v1/plans", json=handhole).get_json()
    page = Seen(browser.get(f"/plans/{plan['id']}"))
    assert "It does not fit" in page.text and plan["reasons"][0]["text"][1:] in page.text
    assert "Trays and slots" not in page.text


def test_runs_of_splices_leave_none_out(plan: dict[str, Any], filled: HeldClient, mid_span: dict[str, Any]) -> None:
    """Spelled out again, slot by slot, the runs of every tray are its splices; and they are fewer lines."""
    for document in (plan, filled.post("/v1/plans", json=mid_span).get_json()):
        for tray in document["trays"]:
            runs = runs_of(tray["splices"])
            slots = [(run.bank, run.first["slot"] + at) for run in runs for at in range(run.splices)]
            assert slots == [(splice["bank"], splice["slot"]) for splice in tray["splices"]]
            for run in runs:
                assert run.last["from"].get("ribbon", 0) - run.first["from"].get("ribbon", 0) in (0, run.splices - 1)
    assert sum(len(runs_of(tray["splices"])) for tray in plan["trays"]) < plan["splices"]


def test_a_run_ends_where_numbers_do_not_go_on() -> None:
    """Another cable, a gap in the ribbons, a gap in the slots, another bundle, half a ribbon: each is a new line."""
    first = {"bank": 1, "slot": 1, "fibres": 12, "sleeve": "s", "bundle": 1}
    ends = {"from": {"cable": "A", "ribbon": 1}, "to": {"cable": "B", "ribbon": 1}}
    next_ends = {"from": {"cable": "A", "ribbon": 2}, "to": {"cable": "B", "ribbon": 2}}
    follows = {**first, "slot": 2, **next_ends}
    assert len(runs_of([{**first, **ends}, follows])) == 1
    for change in (
        {"slot": 3},
        {"bundle": 2},
        {"bank": 2},
        {"to": {"cable": "B", "ribbon": 3}},
        {"to": {"cable": "C", "ribbon": 2}},
        {"from": {"cable": "A", "ribbon": 2, "half": 1}},
        {"from": {"cable": "A", "ribbon": 2, "end": "out"}},
    ):
        assert len(runs_of([{**first, **ends}, {**follows, **change}])) == 2
