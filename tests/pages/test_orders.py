"""Orders on pages: made from a plan, and moved on."""

from __future__ import annotations

from typing import Any

from flask.testing import FlaskClient

from tests.api.held_client import HeldClient
from tests.pages.seen import SAME, Seen


def order_of(browser: FlaskClient, plan: dict[str, Any]) -> str:
    """The address of an order that was made by the button on the plan's page."""
    hidden = Seen(browser.get(f"/plans/{plan['id']}")).fields("/orders")
    answer = browser.post("/orders", data=hidden, headers=SAME)
    assert answer.status_code == 303
    return answer.headers["Location"]


def test_an_order_is_made_from_a_plan_and_told_as_the_api_tells_it(
    browser: FlaskClient, filled: HeldClient, plan: dict[str, Any]
) -> None:
    """Its lines, packs, sum and state, and a link to the plan; pressed twice, the button makes one order."""
    address = order_of(browser, plan)
    assert order_of(browser, plan) == address
    page, order = Seen(browser.get(address)), filled.get(f"/v1{address}").get_json()
    assert all(line["title"] in page.text for line in order["lines"])
    assert all(f"{total['price']} {total['currency']}" in page.text for total in order["totals"])
    assert f"/plans/{plan['id']}" in [each["href"] for each in page.all("a")]
    for link in [each["href"] for each in page.all("a") if each["href"].startswith("/v1/")]:
        assert browser.get(link).status_code == 200
    assert address in [each["href"] for each in Seen(browser.get("/orders")).all("a")]


def test_an_order_is_moved_on_by_its_buttons(browser: FlaskClient, filled: HeldClient, plan: dict[str, Any]) -> None:
    """Draft, placed, received, issued; the last has no buttons. A page that is out of date changes nothing: 412."""
    address = order_of(browser, plan)
    for goal in ("placed", "received", "issued"):
        hidden = Seen(browser.get(address)).fields(f"{address}/state")
        answer = browser.post(f"{address}/state", data={**hidden, "state": goal}, headers=SAME)
        assert (answer.status_code, answer.headers["Location"]) == (303, address)
        assert filled.get(f"/v1{address}").get_json()["state"] == goal
        stale = browser.post(f"{address}/state", data={**hidden, "state": "withdrawn"}, headers=SAME)
        assert stale.status_code in (409, 412) and Seen(stale).all("h1")
    assert Seen(browser.get(address)).fields(f"{address}/state") == {}


def test_a_button_that_is_none_of_ours_is_refused(browser: FlaskClient, plan: dict[str, Any]) -> None:
    """400, and the order stays as it is."""
    address = order_of(browser, plan)
    for form in ({"state": "placed"}, {"revision": "1", "state": "eaten"}, {"revision": "x", "state": "placed"}):
        assert browser.post(f"{address}/state", data=form, headers=SAME).status_code == 400
    assert "draft" in Seen(browser.get(address)).text
