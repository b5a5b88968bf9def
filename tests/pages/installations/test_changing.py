"""Hanging a closure, taking splices out of it, giving up a cable: confirmed on a page, recorded once."""

from __future__ import annotations

from typing import Any

from flask.testing import FlaskClient

from tests.api.held_client import HeldClient
from tests.api.hung import lying, path_of
from tests.pages.seen import SAME, Seen


def test_a_closure_is_hung_from_its_plan(browser: FlaskClient, filled: HeldClient, plan: dict[str, Any]) -> None:
    """The page of the plan leads to the form; name and today stand in it; the closure then has its own page."""
    address = f"/plans/{plan['id']}/hang"
    assert address in [each.get("href") for each in Seen(browser.get(f"/plans/{plan['id']}")).all("a")]
    page = Seen(browser.get(address))
    assert page.by_id("name")["value"] == plan["name"] and page.by_id("hung")["type"] == "date"
    said = {"name": "Handhole 7", "place": "Quay", "latitude": "53,55", "longitude": "8.57", "hung": "2026-03-09"}
    sent = {**page.fields(address), **said}
    hung = browser.post(address, data=sent, headers=SAME)
    assert hung.status_code == 303
    assert browser.post(address, data=sent, headers=SAME).location == hung.location
    told = filled.get(f"/v1{hung.location}").get_json()
    assert (told["name"], told["place"], told["latitude"], told["hung"]) == ("Handhole 7", "Quay", 53.55, "2026-03-09")
    assert len(filled.get("/v1/installations").get_json()["items"]) == 1


def test_what_is_wrong_with_a_hanging_stands_beside_its_field(
    browser: FlaskClient, filled: HeldClient, plan: dict[str, Any]
) -> None:
    """One coordinate without the other, one that is none, a day that is none; nothing hangs."""
    address = f"/plans/{plan['id']}/hang"
    for data, field in (
        ({"latitude": "53.5"}, "longitude"),
        ({"latitude": "north", "longitude": "8"}, "latitude"),
        ({"hung": "2026-02-30"}, "hung"),
    ):
        answer = browser.post(address, data=data, headers=SAME)
        page = Seen(answer)
        assert answer.status_code == 422 and page.by_id(field)["aria-describedby"] == f"{field}-mistake"
    assert filled.get("/v1/installations").get_json()["items"] == []


def test_a_plan_hangs_twice_only_where_that_is_ticked(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """409 with a box to tick that was not there before."""
    plan = filled.get(path_of(hung, "/visits")).get_json()["items"][0]["plan"]
    address = f"/plans/{plan}/hang"
    assert "again" not in str(Seen(browser.get(address)).all("input"))
    refused = browser.post(address, data={"name": "x"}, headers=SAME)
    page = Seen(refused)
    assert refused.status_code == 409 and page.by_id("again")["type"] == "checkbox"
    assert f"/installations/{hung['id']}" in [each["href"] for each in page.all("a")]
    assert browser.post(address, data={"name": "x", "again": "on"}, headers=SAME).status_code == 303


def test_splices_are_ticked_looked_at_and_taken_out(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """Ticks of a tray and numbers of any tray together; the confirmation says which; then they are out."""
    address = f"/installations/{hung['id']}/remove"
    first = [splice["number"] for splice in hung["trays"][0]["splices"]]
    boxes = [each for each in Seen(browser.get(address)).all("input") if each.get("type") == "checkbox"]
    assert [int(each["value"]) for each in boxes] == first
    ticked = Seen(browser.get(f"{address}?all=yes")).all("input")
    assert all("checked" in each for each in ticked if each.get("type") == "checkbox")
    confirmation = Seen(browser.get(f"{address}?splice=1&splice=2&splices=24"))
    assert "Take 3 splices out?" in confirmation.text and lying(filled.get(path_of(hung)).get_json()) == lying(hung)
    sent = confirmation.fields(address)
    done = browser.post(address, data={**sent, "on": "2026-05-04", "by": "Crew 1"}, headers=SAME)
    assert done.status_code == 303
    now = filled.get(path_of(hung)).get_json()
    assert set(lying(hung)) - set(lying(now)) == {1, 2, 24}
    assert browser.post(address, data={**sent, "on": "2026-05-04", "by": "Crew 1"}, headers=SAME).status_code == 303
    assert filled.get(path_of(hung)).get_json()["visits"] == 2


def test_splices_that_do_not_lie_there_are_told_beside_the_field(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """A number that was never given, a text that is no range, a range that is far too long."""
    for text in ("99", "all", "1-999999999", "99-98"):
        answer = browser.get(f"/installations/{hung['id']}/remove", query_string={"splices": text})
        page = Seen(answer)
        assert answer.status_code == 422 and page.by_id("splices")["aria-describedby"] == "splices-mistake"


def test_a_removal_that_somebody_overtook_is_not_recorded(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """409 with the visit that came between."""
    address = f"/installations/{hung['id']}/remove"
    sent = Seen(browser.get(f"{address}?splices=1-3")).fields(address)
    filled.post(path_of(hung, "/removals"), json={"splices": [2], "by": "Crew 9"})
    late = browser.post(address, data=sent, headers=SAME)
    assert late.status_code == 409 and "Crew 9" in Seen(late).text
    assert filled.get(path_of(hung)).get_json()["visits"] == 2


def test_a_cable_is_given_up_with_its_splices(browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]) -> None:
    """The confirmation says how many go with it; afterwards it is not offered again, and cannot be joined."""
    address = f"/installations/{hung['id']}/give-up"
    page = Seen(browser.get(f"{address}?cable=C"))
    assert "2 splices of it are taken out" in page.text
    done = browser.post(address, data={**page.fields(address), "by": "Crew 1"}, headers=SAME)
    assert done.status_code == 303
    now = filled.get(path_of(hung)).get_json()
    assert now["splices"] == 22 and [each["abandoned"] for each in now["cables"]] == [False, False, True]
    text = Seen(browser.get(f"/installations/{hung['id']}")).text
    assert "Give up B" in text and "Give up C" not in text
    options = [each["value"] for each in Seen(browser.get(f"/installations/{hung['id']}/fit")).all("option")]
    assert "A" in options and "C" not in options
    assert "It was given up before" in Seen(browser.get(f"{address}?cable=C")).text


def test_name_and_place_are_changed_as_they_were_read(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """The form has what is known; a blank forgets it; half a pair is told; what another changed meanwhile stays."""
    address = f"/installations/{hung['id']}/place"
    page = Seen(browser.get(address))
    assert (page.by_id("name")["value"], page.by_id("latitude")["value"]) == (hung["name"], "53.5512")
    sent = page.fields(address)
    half = browser.post(address, data={**sent, "name": "7b", "latitude": "53"}, headers=SAME)
    assert half.status_code == 422 and Seen(half).by_id("longitude")["aria-describedby"] == "longitude-mistake"
    assert browser.post(address, data={**sent, "name": "7b"}, headers=SAME).status_code == 303
    told = filled.get(path_of(hung)).get_json()
    assert (told["name"], told["place"], "latitude" in told) == ("7b", "", False)
    late = browser.post(address, data={**sent, "name": "7c"}, headers=SAME)
    assert late.status_code == 409 and filled.get(path_of(hung)).get_json()["name"] == "7b"
