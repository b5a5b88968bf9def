"""Will it fit in here: the form of an addition, its verdict, the plan that is kept, and what is recorded as done."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from flask.testing import FlaskClient

from tests.api.held_client import HeldClient
from tests.api.hung import lying, path_of
from tests.pages.seen import SAME, Seen

DROP_IN = {"cable-1": "drop-24", "from-1": "B", "from-range-1": "23", "to-range-1": "1"}


def asked(browser: FlaskClient, hung: dict[str, Any], texts: dict[str, str], status: int = 200) -> Seen:
    """The page of a form that is filled in so."""
    answer = browser.get(f"/installations/{hung['id']}/fit?{urlencode(texts)}")
    assert answer.status_code == status, answer.get_data(as_text=True)
    return Seen(answer)


def sent_fields(page: Seen, hung: dict[str, Any]) -> dict[str, str]:
    """What the form under the verdict sends."""
    return page.fields(f"/installations/{hung['id']}/fit")


def test_an_untouched_form_names_what_hangs_there_and_gives_a_free_tag(
    browser: FlaskClient, hung: dict[str, Any]
) -> None:
    """A, B and C hang, so the new cable is D; the cable with something to join stands first; nothing is judged."""
    page = asked(browser, hung, {})
    assert page.by_id("tag-1")["value"] == "D" and page.by_id("from-range-1")["value"] == ""
    assert "B (roll-288): not joined yet: ribbons 23-24" in page.text
    assert "It fits" not in page.text and "Not in order" not in page.text
    options = [each["value"] for each in page.all("option")]
    assert options.index("B") < options.index("A")


def test_the_verdict_is_that_of_the_api(browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]) -> None:
    """First words the verdict; the slot is the one that the same addition has over HTTP; nothing is kept."""
    page = asked(browser, hung, DROP_IN)
    assert page.text.partition("Catalogue")[2].strip().startswith("It fits 1 splice into Ferrow Lane, handhole 7")
    document = {
        "cables": [{"tag": "D", "cable": "drop-24"}],
        "joints": [{"from": {"cable": "B", "ribbons": "23"}, "to": {"cable": "D", "ribbons": "1"}}],
    }
    plan = filled.post(path_of(hung, "/additions?store=false"), json=document).get_json()
    [(tray, splice)] = [(tray["position"], each) for tray in plan["trays"] for each in tray["splices"]]
    assert f"Tray {tray}: " in page.text and f"{splice['bank']}, {splice['slot']}B ribbon 23D ribbon 1" in page.text
    assert len(filled.get("/v1/plans").get_json()["items"]) == 1


def test_what_does_not_fit_says_why_and_what_would_help(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """Reasons and tried remedies, as a page with status 200, and no button to keep it."""
    full = {"cable-1": "flat-288", "cable-2": "flat-288", "cables": "2", "from-1": "D", "to-1": "E"}
    page = asked(browser, hung, {**full, "from-range-1": "1-24", "to-range-1": "1-24", "reserve": "400"})
    assert "It does not fit" in page.text and "Why" in page.text
    assert sent_fields(page, hung) == {}


def test_faults_stand_beside_their_fields(browser: FlaskClient, hung: dict[str, Any]) -> None:
    """A ribbon that is spliced, a slack in words, a cable that is not chosen."""
    page = asked(browser, hung, {**DROP_IN, "from-range-1": "1"}, 422)
    assert page.by_id("from-range-1")["aria-describedby"] == "from-range-1-mistake"
    page = asked(browser, hung, {**DROP_IN, "slack-1": "x"}, 422)
    assert page.by_id("slack-1")["aria-describedby"] == "slack-1-mistake"
    page = asked(browser, hung, {**DROP_IN, "cable-1": ""}, 422)
    assert "Choose the cable." in page.text


def test_ends_that_hang_are_joined_without_a_new_cable(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """After a splice was taken out its ends can be joined again; the row of a new cable stays blank."""
    filled.post(path_of(hung, "/removals"), json={"splices": [1]})
    page = asked(browser, hung, {"from-1": "A", "from-range-1": "1", "to-1": "B", "to-range-1": "23"})
    assert "It fits" in page.text


def test_a_plan_is_kept_once_and_recorded_as_done(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """Kept, sent twice: one plan. Recorded on the plan's confirmation, with day and name: the splice lies there."""
    fields = sent_fields(asked(browser, hung, DROP_IN), hung)
    address = f"/installations/{hung['id']}/fit"
    kept = browser.post(address, data={**fields, "then": "done"}, headers=SAME)
    assert kept.status_code == 303 and kept.location.endswith("/done")
    assert browser.post(address, data={**fields, "then": "plan"}, headers=SAME).location + "/done" == kept.location
    assert filled.get(path_of(hung)).get_json() == hung
    page = Seen(browser.get(kept.location))
    sent = page.fields(kept.location)
    done = browser.post(kept.location, data={**sent, "on": "2026-05-04", "by": "Crew 1"}, headers=SAME)
    assert (done.status_code, done.location) == (303, f"/installations/{hung['id']}")
    now = filled.get(path_of(hung)).get_json()
    assert lying(now)[25][3:] == ({"cable": "B", "ribbon": 23}, {"cable": "D", "ribbon": 1})
    assert "Added to, 2026-05-04, Crew 1: 1 splice, cable D" in Seen(browser.get(done.location)).text
    assert "recorded this plan already" in Seen(browser.get(kept.location)).text
    again = browser.post(kept.location, data={**sent, "on": "2026-05-04", "by": "Crew 1"}, headers=SAME)
    assert again.status_code == 303 and filled.get(path_of(hung)).get_json() == now


def test_somebody_who_was_there_meanwhile_is_told_with_a_way_on(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """Between the verdict and the button, and between the plan and its record: 409, nothing is stored."""
    fields = sent_fields(asked(browser, hung, DROP_IN), hung)
    filled.post(path_of(hung, "/removals"), json={"splices": [24], "on": "2026-06-01", "by": "Crew 9"})
    late = browser.post(f"/installations/{hung['id']}/fit", data={**fields, "then": "plan"}, headers=SAME)
    page = Seen(late)
    assert late.status_code == 409 and "Somebody was there meanwhile" in page.text and "Crew 9" in page.text
    assert len(filled.get("/v1/plans").get_json()["items"]) == 1
    [on] = [each["href"] for each in page.all("a") if "Check" not in each["href"] and "/fit?" in each["href"]]
    fresh = sent_fields(Seen(browser.get(on)), hung)
    kept = browser.post(f"/installations/{hung['id']}/fit", data={**fresh, "then": "done"}, headers=SAME)
    sent = Seen(browser.get(kept.location)).fields(kept.location)
    filled.post(path_of(hung, "/removals"), json={"splices": [23]})
    late = browser.post(kept.location, data=sent, headers=SAME)
    assert late.status_code == 409 and "Somebody was there meanwhile" in Seen(late).text
    assert filled.get(path_of(hung)).get_json()["visits"] == 3


def test_a_day_that_is_none_is_told_beside_its_field(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """And nothing is recorded; what else was typed is still there."""
    fields = sent_fields(asked(browser, hung, DROP_IN), hung)
    kept = browser.post(f"/installations/{hung['id']}/fit", data={**fields, "then": "done"}, headers=SAME)
    sent = Seen(browser.get(kept.location)).fields(kept.location)
    wrong = browser.post(kept.location, data={**sent, "on": "2026-02-30", "by": "Crew 1"}, headers=SAME)
    page = Seen(wrong)
    assert wrong.status_code == 422 and page.by_id("on")["aria-describedby"] == "on-mistake"
    assert page.by_id("by")["value"] == "Crew 1" and filled.get(path_of(hung)).get_json() == hung


def test_a_form_without_its_revision_changes_nothing(
    browser: FlaskClient, filled: HeldClient, hung: dict[str, Any]
) -> None:
    """Who does not say what was looked at is asked to load the page anew (400)."""
    for part, data in (("fit", DROP_IN), ("remove", {"splices": "1"}), ("give-up", {"cable": "B"})):
        for revision in ({}, {"revision": "x"}):
            answer = browser.post(f"/installations/{hung['id']}/{part}", data={**data, **revision}, headers=SAME)
            assert answer.status_code == 400
    assert filled.get(path_of(hung)).get_json() == hung
