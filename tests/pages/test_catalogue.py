"""The catalogue and the stock on pages."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from service.domain.catalogue import KINDS
from tests.api.held_client import HeldClient
from tests.pages.seen import Seen


def test_every_entry_is_reached_from_the_catalogue(browser: FlaskClient, catalogue: dict[str, Any]) -> None:
    """From the sections to the entries to each entry, whose title and figures stand there."""
    sections = [each["href"] for each in Seen(browser.get("/catalogue")).all("a")]
    for kind in KINDS:
        assert f"/catalogue/{kind}" in sections
        entries = [each["href"] for each in Seen(browser.get(f"/catalogue/{kind}")).all("a")]
        for entry in catalogue[kind]:
            assert f"/catalogue/{kind}/{entry['code']}" in entries
            page = Seen(browser.get(f"/catalogue/{kind}/{entry['code']}"))
            assert entry["title"] in page.text
    cable = catalogue["cables"][0]
    assert f"Od, mm{cable['od_mm']:g}" in Seen(browser.get(f"/catalogue/cables/{cable['code']}")).text


def test_a_section_is_narrowed_and_goes_on(browser: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    """By a part of code or title; a long one goes on on a further page."""
    links = [each["href"] for each in Seen(browser.get("/catalogue/cables?text=roll")).all("a")]
    assert "/catalogue/cables/roll-288" in links and "/catalogue/cables/flat-288" not in links
    monkeypatch.setattr("service.pages.catalogue.PER_PAGE", 2)
    further = [each["href"] for each in Seen(browser.get("/catalogue/cables")).all("a") if "cursor=" in each["href"]]
    assert "roll-288" in Seen(browser.get(further[0])).text


def test_the_stock_says_what_is_on_hand_and_what_is_free(browser: FlaskClient, filled: HeldClient) -> None:
    """As the API has it; an order holds some of it."""
    level = {"on_hand": 5}
    assert filled.put("/v1/stock/rs-12", json=level, headers={"If-None-Match": "*"}).status_code == 201
    assert "rs-12 sleeve" in Seen(browser.get("/stock")).text


def test_an_empty_catalogue_is_said_on_the_first_page(app: Any, client: HeldClient) -> None:
    """Who has just begun is told what to do first."""
    assert "The catalogue is empty" in Seen(FlaskClient(app, app.response_class).get("/")).text
