"""One hung closure on a page: room first, what lies in it, who was there, and the label that leads there."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import segno
from flask import Flask
from flask.testing import FlaskClient

from service.domain.installation import Visit
from tests.api.held_client import HeldClient
from tests.api.hung import DROP, path_of
from tests.pages.seen import Seen


def page_of(browser: FlaskClient, hung: dict[str, Any], part: str = "") -> Seen:
    """A page of the closure."""
    answer = browser.get(f"/installations/{hung['id']}{part}")
    assert answer.status_code == 200, answer.get_data(as_text=True)
    return Seen(answer)


def test_the_room_that_is_left_stands_before_what_lies_there(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """Free slots as the API counts them, trays that can be added, free ports; then the trays."""
    text = page_of(browser, hung).text
    free = next(each for each in hung["room"]["slots"] if each["slot_kind"] == "ribbon-12")["free"]
    assert f"Free, ribbon-12{free}" in text
    assert f"Trays to add{hung['room']['trays_to_add'][0]['most']} ribbon-12" in text
    assert f"Free ports{len(hung['room']['ports'])}" in text
    assert text.index("Room left") < text.index("Will it fit in here?") < text.index("In the trays")


def test_the_page_says_where_it_hangs_and_what_is_joined(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """A geo: link, the runs of splices with their numbers, the ribbons that are not joined yet, the visit."""
    page = page_of(browser, hung)
    assert "geo:53.5512,8.5763" in [each.get("href") for each in page.all("a")]
    assert "opposite the pump house" in page.text
    assert "B (roll-288) in" in page.text and "Not joined yet: ribbons 23-24" in page.text
    assert "A (flat-288) in oval-1. All of it is joined" in page.text
    assert "Hung, 2026-03-09, Crew 3: 24 splices, cables A, B, C" in page.text
    assert "A ribbons 1\u2060–\u20606" in page.text and len(page.all("details")) == len(hung["trays"])


def test_the_sheets_are_those_of_the_last_plan_that_is_kept(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """The plan of the newest visit that had one; without one there are none."""
    plan = filled.post(path_of(hung, "/additions?apply=true"), json=DROP).get_json()
    links = [each.get("href") for each in page_of(browser, hung).all("a")]
    assert f"/v1/plans/{plan['id']}/sheet.pdf" in links
    assert f"/plans/{plan['id']}" in links


def test_the_code_on_the_label_is_the_address_of_the_page(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """The same modules as the code of that address drawn alone; at a path of ours, since pictures come from nowhere
    else."""
    answer = browser.get(f"/installations/{hung['id']}/code.svg")
    address = f"http://localhost/installations/{hung['id']}"
    assert answer.mimetype == "image/svg+xml"
    wanted = segno.make(address, error="m", micro=False).svg_inline(border=4, omitsize=True, dark="#000", light="#fff")
    drawn = answer.get_data(as_text=True)
    assert wanted.partition(" d=")[2].partition("/>")[0] in drawn
    assert address in page_of(browser, hung, "/label").text


def test_fibres_of_a_ribbon_that_is_joined_in_part_are_free_too(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """Four fibres of ribbon 23 to another cable: the other eight are told as fibres, 24 still as a ribbon."""
    body = {
        "cables": [{"tag": "D", "cable": "drop-24"}],
        "joints": [{"from": {"cable": "B", "fibres": "265-268"}, "to": {"cable": "D", "fibres": "1-4"}}],
    }
    added = filled.post(path_of(hung, "/additions?apply=true"), json=body)
    assert added.status_code == 201, added.get_json()
    assert "Not joined yet: ribbon 24, fibres 269-276." in page_of(browser, hung).text


def test_a_very_full_closure_stays_a_small_page(app: Flask, browser: FlaskClient, hung: dict[str, Any]) -> None:
    """Sixty trays with splices in no order and forty-eight cables: under 30 kB, and every tray is reached."""
    store = app.extensions["traywright"].store.installations
    was = store.get(hung["id"])
    contents = was.contents
    cables = [replace(contents.cables[0], tag=f"Drop of house number {number}") for number in range(45)]
    trays = [replace(contents.trays[0], position=position) for position in range(1, 61)]
    splices = [
        replace(contents.splices[place], number=12 * position + place, position=position, slot=7 - place % 6)
        for position in range(1, 61)
        for place in range(12)
    ]
    full = replace(
        contents, cables=(*contents.cables, *cables), trays=tuple(trays), splices=tuple(splices), splices_laid=732
    )
    visit = Visit(1, "hung", was.hung, was.created, "Crew " * 40, "Lid was stiff. " * 130)
    store.hang(replace(was, id="f" * 32, contents=full), visit)
    address, seen = f"/installations/{'f' * 32}", []
    while address:
        answer = browser.get(address)
        assert answer.status_code == 200 and len(answer.get_data()) < 30_000
        page = Seen(answer)
        seen += re.findall(r"Tray (\d+), ribbon-12", page.text)
        further = [each["href"] for each in page.all("a") if each.get("class") == "button" and "?from=" in each["href"]]
        address = f"/installations/{'f' * 32}{further[0]}" if further else ""
    assert seen == [str(position) for position in range(1, 61)]
    for part in ("/fit", "/remove?all=yes", "/remove?splices=12-700", "/records"):
        answer = browser.get(f"/installations/{'f' * 32}{part}")
        assert answer.status_code in (200, 422) and len(answer.get_data()) < 30_000, part


def test_what_is_not_there_is_a_page_of_its_own(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """404 in words: another id, a cable that does not hang there, a plan that adds to none."""
    for path in ("/installations/none", "/installations/none/code.svg"):
        assert browser.get(path).status_code == 404
    lost = browser.get(f"/installations/{hung['id']}/give-up?cable=Z")
    assert lost.status_code == 404 and Seen(lost).all("h1")
