"""What was measured, on pages: verdicts by typed limits, the workbook that a crew filled in, remake rates in words."""

from __future__ import annotations

import io
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.pages.remakes import in_words
from tests.api.held_client import HeldClient
from tests.api.hung import path_of
from tests.api.test_splice_records import put, workbook
from tests.pages.seen import SAME, Seen


def record(filled: HeldClient, hung: dict[str, Any], *losses: float) -> None:
    """Splices 1, 2 ... with this loss of their first fibre, each made again as often as its number says."""
    records = [
        {"splice": place, "remakes": place, "losses": [{"fibre": 1, "loss_db": loss, "wavelength_nm": 1550}]}
        for place, loss in enumerate(losses, start=1)
    ]
    assert filled.post(path_of(hung, "/splice-records"), json={"records": records}).status_code == 201


def judged(browser: FlaskClient, hung: dict[str, Any], **limits: str) -> Seen:
    """The page of records with these limits."""
    return Seen(browser.get(f"/installations/{hung['id']}/records", query_string=limits))


def test_splices_are_judged_by_the_limit_that_is_typed(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """0.35 dB is over 0.2 and stands first; within 0.4 nothing fails, but most splices have no figure."""
    assert "Nothing is measured" in judged(browser, hung).text
    record(filled, hung, 0.04, 0.35)
    assert "2 measured" in judged(browser, hung).text
    text = judged(browser, hung, splice_db="0,2").text
    assert "1 splice over the limit" in text and text.index("2 too much") < text.index("1 good")
    assert "Not all judged" in judged(browser, hung, splice_db="0.4").text
    record(filled, hung, *[0.05] * 24)
    assert "All good" in judged(browser, hung, splice_db="0.4").text
    assert "All good" in judged(browser, hung, preset="federal-fusion").text


def test_a_limit_that_is_none_is_told_beside_its_field(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """Words, a negative one, and published limits that nobody published."""
    for name, text in (("splice_db", "much"), ("one_way_db", "-1"), ("preset", "none-such")):
        answer = browser.get(f"/installations/{hung['id']}/records", query_string={name: text})
        assert answer.status_code == 422 and Seen(answer).by_id(name)["aria-describedby"] == f"{name}-mistake"


def send(browser: FlaskClient, hung: dict[str, Any], content: bytes, **more: str) -> TestResponse:
    """Send a file from the form."""
    data = {"file": (io.BytesIO(content), "plan.xlsx"), **more}
    return browser.post(f"/installations/{hung['id']}/records", data=data, headers=SAME)


def test_a_filled_in_workbook_is_taken_once(browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]) -> None:
    """Its remakes are listed; the same form sent twice adds nothing."""
    content = workbook(filled, hung, lambda book: put(book, "Splices", 2, "Remakes", 3) and None)
    for _ in range(2):
        assert send(browser, hung, content, key="a" * 32).status_code == 303
    assert "3 remakes" in judged(browser, hung).text
    assert len(filled.get(path_of(hung, "/splice-records")).get_json()["items"]) == 1


def test_what_is_wrong_with_a_workbook_is_told_by_sheet_and_cell(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """A cell that cannot be read, a file that is no workbook, none at all; nothing is recorded."""
    cells: list[str] = []
    content = workbook(filled, hung, lambda book: cells.append(put(book, "Splices", 2, "Remakes", "lots")))
    refused = send(browser, hung, content)
    assert refused.status_code == 422 and f"Splices, cell {cells[0]}:" in Seen(refused).text
    assert send(browser, hung, b"no workbook").status_code == 422
    none = browser.post(f"/installations/{hung['id']}/records", data={}, headers=SAME)
    assert none.status_code == 422 and "Choose the workbook" in Seen(none).text
    assert filled.get(path_of(hung, "/splice-records")).get_json()["items"] == []


def test_remake_rates_are_told_in_words(browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]) -> None:
    """What was recorded of which form, with an interval; forms without a record say that they rest on the method."""
    record(filled, hung, *[0.05] * 3)
    text = Seen(browser.get("/records")).text
    first = text.partition("Rollable ribbons")[2].partition("Flat ribbons")[0]
    assert "3 joints recorded, with 6 remakes, 6 of them after the sleeve was shrunk" in first
    assert "Nine times in ten the true rate lies between" in first and "joint in" in first
    assert "No joint is recorded yet" in text.partition("Flat ribbons")[2]


def test_a_rate_is_said_as_people_say_it() -> None:
    """By hand: 1/0.08 = 12.5; 1/0.02 = 50; 1/0.000334 = 2994, said as 3000; near none and near all have words."""
    assert in_words(1 / 7) == "1 joint in 7"
    assert in_words(0.02) == "1 joint in 50"
    assert in_words(0.000334) == "1 joint in 3000"
    assert in_words(0.3) == "3 joints in 10"
    assert in_words(0.0) == "hardly any joint"
    assert in_words(0.97) == "nearly every joint"
