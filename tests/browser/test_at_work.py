"""What people do on the pages, in a browser: ask, put right, keep, watch, print."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.api.sent_takeoffs import lines, work
from tests.browser.conftest import Site


@pytest.fixture
def plain(chromium: Browser) -> Iterator[Page]:
    """A phone whose browser runs no script."""
    page = chromium.new_page(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    yield page
    page.close()


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Page]:
    """A phone."""
    page = chromium.new_page(viewport={"width": 390, "height": 844})
    yield page
    page.close()


def test_a_lead_gets_from_the_first_page_to_an_order_without_script(plain: Page, site: Site) -> None:
    """Will it fit, two cables, the verdict, a plan that is kept, an order that is placed: by touch alone."""
    plain.goto(site.root)
    plain.get_by_role("link", name="Will it fit?").nth(1).click()
    plain.get_by_label("Cable", exact=True).nth(0).select_option("flat-288")
    plain.get_by_label("Cable", exact=True).nth(1).select_option("roll-288")
    plain.get_by_role("button", name="Will it fit?").click()
    expect(plain.get_by_role("heading", level=1)).to_have_text("It fits")
    assert "cable-1=flat-288" in plain.url
    plain.get_by_role("button", name="Plan it and keep the plan").click()
    expect(plain.get_by_role("heading", name="Trays and slots")).to_be_visible()
    assert re.fullmatch(r".*/plans/[0-9a-f]{32}", plain.url)
    plain.get_by_role("button", name="Make an order of it").click()
    plain.get_by_role("button", name="Placed with the supplier").click()
    expect(plain.get_by_text("placed", exact=True)).to_be_visible()


def test_the_verdict_is_seen_without_scrolling(plain: Page, site: Site) -> None:
    """On the smallest phone of today too, verdict and closure stand in the first screen, and the verdict is largest."""
    plain.set_viewport_size({"width": 320, "height": 568})
    plain.goto(site.fit())
    heading = plain.get_by_role("heading", level=1).bounding_box()
    closure = plain.get_by_text("dome-24").first.bounding_box()
    assert heading is not None and closure is not None
    assert heading["y"] + heading["height"] < 300 and closure["y"] + closure["height"] < 400


def test_enter_checks_and_does_not_add_a_row(plain: Page, site: Site) -> None:
    """The first button of the form is the one that checks."""
    plain.goto(site.fit())
    plain.get_by_label("Slack, m").nth(0).fill("12")
    plain.get_by_label("Slack, m").nth(0).press("Enter")
    expect(plain.get_by_role("heading", level=1)).to_have_text("It fits")
    assert "slack-1=12" in plain.url and plain.get_by_label("Cable", exact=True).count() == 2


def test_a_remedy_is_tried_with_one_touch(plain: Page, site: Site) -> None:
    """Another closure that would do is a link to the same question with that closure, and then it fits."""
    plain.goto(site.root + site.pages["it does not fit"])
    expect(plain.get_by_role("heading", level=1)).to_have_text("It does not fit")
    plain.get_by_role("link", name="Check with dome-24").click()
    expect(plain.get_by_role("heading", level=1)).to_have_text("It fits")
    expect(plain.get_by_label("Which closure")).to_have_value("dome-24")


def test_a_cable_is_added_and_the_page_stays_where_one_was(plain: Page, site: Site) -> None:
    """The new row is in sight, and what was typed is there."""
    plain.goto(f"{site.root}/fit")
    plain.get_by_label("Slack, m").nth(1).fill("7")
    plain.get_by_role("button", name="Add a cable").click()
    expect(plain.get_by_label("Cable", exact=True)).to_have_count(3)
    expect(plain.get_by_label("Slack, m").nth(1)).to_have_value("7")
    expect(plain.get_by_label("Cable", exact=True).nth(2)).to_be_in_viewport()


def test_a_mistake_leads_to_its_field(phone: Page, site: Site) -> None:
    """The link in the summary puts the focus into the field, also inside what was folded."""
    phone.goto(site.fit(cable_2="", reserve="-4"))
    expect(phone.get_by_role("heading", level=1)).to_have_text("Not in order")
    phone.get_by_role("link", name=re.compile("^Reserve")).click()
    expect(phone.get_by_label("Reserve, %")).to_be_focused()
    expect(phone.get_by_label("Reserve, %")).to_be_in_viewport()


def test_progress_is_shown_while_a_takeoff_is_worked_on(phone: Page, site: Site) -> None:
    """The bar moves on without the page being loaded again, and at the end the totals are there."""
    point = site.api.get(f"/v1{site.pages['plan']}").get_json()["name"]
    request = {
        "name": point,
        "cables": [{"tag": "A", "cable": "flat-288"}, {"tag": "B", "cable": "roll-288"}],
        "joints": [{"from": {"cable": "A", "ribbons": "1-3"}, "to": {"cable": "B", "ribbons": "1-3"}}],
    }
    work(site.store)
    body = lines([b"no json", request])
    id = site.api.post("/v1/takeoffs", data=body, content_type="application/x-ndjson").get_json()["id"]
    phone.goto(f"{site.root}/takeoffs/{id}")
    expect(phone.locator("#progress p")).to_have_text(re.compile("^1 of 2 splice points done"))
    work(site.store)
    expect(phone.get_by_role("heading", name="Totals")).to_be_visible(timeout=10_000)


def test_forms_of_another_site_are_refused_in_a_real_browser(phone: Page, site: Site) -> None:
    """A page of another origin posts our form: the browser says where it comes from, and nothing is stored."""
    before = len(site.api.get("/v1/plans?limit=500").get_json()["items"])
    phone.goto("about:blank")
    phone.set_content(f'<form method="post" action="{site.root}/fit"><button>Go</button></form>')
    with phone.expect_navigation() as seen:
        phone.get_by_role("button").click()
    assert seen.value is not None and seen.value.status == 403
    assert len(site.api.get("/v1/plans?limit=500").get_json()["items"]) == before


@pytest.mark.parametrize("name", ["it does not fit", "refused plan"])
def test_a_verdict_prints_on_one_sheet(phone: Page, site: Site, name: str) -> None:
    """Verdict, reasons and remedies on one page of A4, without menu and form."""
    phone.goto(site.root + site.pages[name])
    sheet = phone.pdf(format="A4")
    assert len(re.findall(rb"/Type\s*/Page\b", sheet)) == 1
    phone.emulate_media(media="print")
    expect(phone.get_by_role("heading", level=1)).to_be_visible()
    assert not phone.locator("nav").is_visible() and phone.locator("form:visible").count() == 0
