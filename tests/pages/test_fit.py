"""Will it fit: the form, the verdict, what is to be put right, and the plan that is kept."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient

from tests.api.held_client import HeldClient
from tests.pages.seen import SAME, Seen

HANDHOLE = {
    "name": "Ferrow Lane, handhole 7",
    "closure": "dome-48",
    "cables": "3",
    "joints": "2",
    "cable-1": "flat-288",
    "slack-1": "15",
    "cable-2": "roll-288",
    "slack-2": "15",
    "cable-3": "drop-24",
    "from-range-1": "1-22",
    "to-range-1": "1 – 22",
    "from-2": "A",
    "from-range-2": "23-24",
    "to-2": "C",
    "to-range-2": "1-2",
    "apart-2": "lease",
    "unit-2": "ribbons",
    "reserve": "20",
    "window": "6",
    "site-kind": "handhole",
    "site-length": "900",
    "site-width": "600",
    "site-depth": "600",
}
TOO_MANY = {"closure": "dome-48", "cable-1": "flat-288", "cable-2": "roll-288", "from-range-1": "1-24"}
TOO_MANY |= {"to-range-1": "1-24", "reserve": "400"}


def asked(browser: FlaskClient, texts: dict[str, str], status: int = 200) -> Seen:
    """The page of a form that is filled in so."""
    answer = browser.get(f"/fit?{urlencode(texts)}")
    assert answer.status_code == status, answer.get_data(as_text=True)
    return Seen(answer)


def test_an_untouched_form_asks_for_two_cables_and_one_joint(browser: FlaskClient) -> None:
    """Two cables to choose, one joint of 1-12 to 1-12 filled in, any closure; nothing is judged yet."""
    page = Seen(browser.get("/fit"))
    assert page.by_id("cable-2")["name"] == "cable-2" and "cable-3" not in str(page.elements)
    assert [page.by_id(f"{side}-range-1")["value"] for side in ("from", "to")] == ["1-12", "1-12"]
    assert "It fits" not in page.text and "Not in order" not in page.text


def test_the_verdict_stands_first(browser: FlaskClient) -> None:
    """The first words of the content are the verdict; closure, trays and splices follow at once."""
    page = asked(browser, HANDHOLE)
    content = page.text.partition("Catalogue")[2].strip()
    assert content.startswith("It fits dome-48, 3 trays for 24 splices")


def test_the_page_says_what_the_api_says(browser: FlaskClient, filled: HeldClient, handhole: dict[str, Any]) -> None:
    """Trays, splices, hours and room for more are those of a fit check and a plan of the same request."""
    page = asked(browser, HANDHOLE)
    plan = filled.post("/v1/plans?store=false", json={**handhole, "rules": {"reserve": {"percent": 20}}}).get_json()
    check = {**handhole, "rules": {"reserve": {"percent": 20}}, "headroom": True}
    more = filled.post("/v1/fit-checks", json=check).get_json()["headroom"]
    assert f"{len(plan['trays'])} trays for {plan['splices']} splices" in page.text
    assert f"9 jobs in 10 within{plan['crew']['hours_90']} h" in page.text
    assert more and all(f"ribbons of {each['fibres']}{each['more']}" in page.text for each in more)


def test_what_does_not_fit_is_said_with_reasons_and_remedies(browser: FlaskClient, filled: HeldClient) -> None:
    """The reasons and the remedies of the plan, in its words and its order."""
    page = asked(browser, TOO_MANY)
    joint = {side: {"cable": tag, "ribbons": "1-24"} for side, tag in (("from", "A"), ("to", "B"))}
    request = {
        "closures": ["dome-48"],
        "cables": [{"tag": "A", "cable": "flat-288"}, {"tag": "B", "cable": "roll-288"}],
    }
    request |= {"joints": [joint], "rules": {"reserve": {"percent": 400}}}
    plan = filled.post("/v1/plans?store=false", json=request).get_json()
    assert not plan["fits"] and plan["reasons"] and plan["remedies"]
    told = [each["text"][1:] for each in (*plan["reasons"], *plan["remedies"])]
    places = [page.text.index(" ".join(text.split())) for text in told]
    assert page.text.index("It does not fit") < places[0] and places == sorted(places)
    assert "keep the plan" not in page.text


def test_every_mistake_is_told_beside_its_field_and_above_with_a_link_to_it(browser: FlaskClient) -> None:
    """Faults of the schema: 422, a summary whose links lead to the fields, and the fields marked and described."""
    wrong = {**HANDHOLE, "cable-2": "", "slack-1": "much", "reserve": "-4", "to-range-2": "1-", "site-depth": ""}
    page = asked(browser, wrong, 422)
    links = [each["href"][1:] for each in page.all("a") if each.get("href", "").startswith("#")]
    assert {"cable-2", "slack-1", "reserve", "to-range-2", "site-depth"} <= set(links)
    for field in ("cable-2", "slack-1", "reserve", "to-range-2", "site-depth"):
        marked = page.by_id(field)
        assert marked["aria-invalid"] == "true"
        page.by_id(marked["aria-describedby"])
    assert "aria-invalid" not in page.by_id("cable-1")
    assert page.text.partition("Catalogue")[2].strip().startswith("Not in order")


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"to-range-1": "1-21"}, "to-range-1", "22"),
        ({"cable-1": "no-such"}, "cable-1", "no-such"),
        ({"from-2": "Z"}, "from-2", "Z"),
        ({"from-range-1": "4-25"}, "from-range-1", "25"),
    ],
)
def test_what_the_trade_refuses_is_told_beside_its_field_too(
    browser: FlaskClient, changed: dict[str, str], field: str, words: str
) -> None:
    """Faults of the planner: unequal sides, an unknown cable, an unknown tag, a range outside the cable."""
    page = asked(browser, {**HANDHOLE, **changed}, 422)
    invalid = [attributes["id"] for _, attributes in page.elements if "aria-invalid" in attributes]
    pair = {field, field.replace("to-", "from-")}
    assert pair & set(invalid), (invalid, page.text)
    assert words in page.text


@pytest.mark.parametrize(("more", "field"), [("cable", "cable-4"), ("joint", "from-range-3")])
def test_a_row_is_added_without_script_and_nothing_is_lost(browser: FlaskClient, more: str, field: str) -> None:
    """The button sends the form; it comes back with one row more and all that was typed, and is not judged."""
    page = asked(browser, {**HANDHOLE, "more": more})
    assert page.by_id(field)
    assert page.by_id("apart-2")["value"] == "lease" and page.by_id("slack-1")["value"] == "15"
    assert "It fits" not in page.text


def test_rows_do_not_grow_without_end(browser: FlaskClient) -> None:
    """A thousand cables asked for by the address alone are forty, and a count that is none is two."""
    assert len([1 for each in asked(browser, {"cables": "999", "more": "no"}).all("fieldset")]) == 40 + 2
    assert len([1 for each in asked(browser, {"cables": "x", "more": "no"}).all("fieldset")]) == 2 + 2


def test_a_plan_is_kept_once_however_often_its_button_is_pressed(browser: FlaskClient, filled: HeldClient) -> None:
    """The fields behind the button are the form again: the plan is stored, shown, and not stored a second time."""
    hidden = asked(browser, HANDHOLE).fields("/fit")
    answers = [browser.post("/fit", data=hidden, headers=SAME) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert answers[0].headers["Location"] == answers[1].headers["Location"]
    stored = filled.get("/v1/plans").get_json()["items"]
    assert [each["name"] for each in stored] == ["Ferrow Lane, handhole 7"]
    assert answers[0].headers["Location"] == f"/plans/{stored[0]['id']}"


def test_what_is_refused_is_not_kept(browser: FlaskClient, filled: HeldClient) -> None:
    """The form comes back as 422 with its mistakes, and there is no plan."""
    answer = browser.post("/fit", data={**HANDHOLE, "cable-1": "no-such"}, headers=SAME)
    assert answer.status_code == 422 and Seen(answer).by_id("cable-1")["aria-invalid"] == "true"
    assert filled.get("/v1/plans").get_json()["items"] == []


def test_a_larger_catalogue_does_not_make_the_page_heavier_than_a_phone_likes(
    browser: FlaskClient, filled: HeldClient, catalogue: dict[str, Any]
) -> None:
    """With three hundred kinds of cable and eight rows, codes are typed with suggestions: under 30 kB all the same."""
    cable = catalogue["cables"][0]
    catalogue["cables"] += [{**cable, "code": f"more-{number}"} for number in range(300)]
    revision = filled.get("/v1/catalogue").headers["ETag"]
    assert filled.put("/v1/catalogue", json=catalogue, headers={"If-Match": revision}).status_code == 200
    answer = browser.get("/fit?cables=8&more=no")
    assert len(answer.get_data()) < 30_000
    assert Seen(answer).by_id("cable-8")["list"] == "kinds"
