"""Hung closures found on a page."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.api.held_client import HeldClient
from tests.api.hung import hang
from tests.pages.seen import Seen


def test_closures_are_found_by_name_place_and_how_near_they_are(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any], mid_span: dict[str, Any]
) -> None:
    """By a part of either; within the distance chosen, the nearest first with how far it is."""
    hang(filled, mid_span, latitude=53.5602, longitude=8.5763)
    both = Seen(browser.get("/installations")).text
    assert hung["name"] in both and mid_span["name"] in both
    found = Seen(browser.get("/installations?name=PUMP")).text
    assert hung["name"] in found and mid_span["name"] not in found
    near = Seen(browser.get("/installations?near=53.5512,+8.5763&within=5")).text
    # A hundredth of a degree of latitude is 1.11 km (40 008 km round the meridian, common knowledge), 0.009 are 1.0.
    assert near.index("0 m away") < near.index("1.0 km away")
    assert (
        "1.0 km" not in Seen(browser.get("/installations?near=53.5512;8.5763&within=0.2")).text.partition("m away")[2]
    )
    assert "No closure that hangs is found so" in Seen(browser.get("/installations?near=1+1")).text


@pytest.mark.parametrize("near", ["the quay", "91, 8", "53.5", "53.5, 181"])
def test_coordinates_that_are_none_are_told_beside_their_field(browser: FlaskClient, near: str) -> None:
    """Words, one number, and places that are not on the earth; nothing is listed."""
    answer = browser.get("/installations", query_string={"near": near})
    page = Seen(answer)
    assert answer.status_code == 422
    assert page.by_id("near")["aria-describedby"] == "near-mistake" and page.by_id("near")["value"] == near


def test_a_long_list_goes_on_with_what_was_searched(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any], handhole: dict[str, Any], monkeypatch: Any
) -> None:
    """The further page keeps name and place."""
    hang(filled, handhole, latitude=53.5512, longitude=8.5763, again=True, name="Second")
    monkeypatch.setattr("service.pages.lists.PER_PAGE", 1)
    first = Seen(browser.get("/installations?near=53.5512,8.5763&within=5"))
    [further] = [each["href"] for each in first.all("a") if "cursor=" in each["href"]]
    assert "Second" in first.text and "within=5" in further
    assert hung["name"] in Seen(browser.get(further)).text
