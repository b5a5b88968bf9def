"""What people do with a closure that hangs, in a browser without script: scan its label, ask, keep, record."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Site


@pytest.fixture
def plain(chromium: Browser) -> Iterator[Page]:
    """A phone whose browser runs no script."""
    page = chromium.new_page(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    yield page
    page.close()


@pytest.fixture
def here(site: Site) -> str:
    """The address of a closure that only this test changes: the same plan, hung once more."""
    plan = site.pages["hang"].split("/")[2]
    made = site.api.post("/v1/installations", json={"plan": plan, "name": "Handhole 7b", "again": True})
    return f"{site.root}/installations/{made.get_json()['id']}"


def test_a_camera_reads_the_label_and_is_led_to_the_closure(plain: Page, site: Site) -> None:
    """The code as it stands on the screen, in both schemes of colours, is read by an independent decoder."""
    for scheme in ("light", "dark"):
        plain.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        plain.goto(site.root + site.pages["label"])
        seen = Image.open(io.BytesIO(plain.screenshot()))
        [code] = zxingcpp.read_barcodes(seen)
        assert code.text == site.root + site.pages["installation"]


def test_a_lead_gets_from_the_label_to_a_record_by_touch_alone(plain: Page, here: str) -> None:
    """Will it fit in here, one cable, the verdict, record as done, and the splice lies in its tray."""
    plain.goto(here)
    plain.get_by_role("link", name="Will it fit in here?").click()
    plain.get_by_label("Cable", exact=True).select_option("drop-24")
    plain.get_by_label("Numbers").nth(0).fill("23")
    plain.get_by_label("Numbers").nth(1).fill("1")
    plain.get_by_role("button", name="Will it fit?").click()
    expect(plain.get_by_role("heading", level=1)).to_have_text("It fits")
    assert "from-range-1=23" in plain.url
    plain.get_by_role("button", name="Keep it and record as done").click()
    plain.get_by_label("By").fill("Crew 1")
    plain.get_by_role("button", name="Record as done").click()
    assert plain.url == here
    expect(plain.get_by_text("Added to")).to_be_visible()


def test_the_room_is_seen_without_scrolling(plain: Page, site: Site) -> None:
    """On the smallest phone of today too, the first figure of the room that is left stands in the first screen."""
    plain.set_viewport_size({"width": 320, "height": 568})
    plain.goto(site.root + site.pages["installation"])
    figure = plain.locator(".facts dd").first.bounding_box()
    assert figure is not None and figure["y"] + figure["height"] < 568


def test_a_stale_page_leads_on_by_one_touch(plain: Page, site: Site, here: str) -> None:
    """Somebody takes a splice out between verdict and button: that is said, and the question is asked again."""
    plain.goto(f"{here}/fit?cable-1=drop-24&from-1=B&from-range-1=23&to-range-1=1")
    id = here.rpartition("/")[2]
    assert site.api.post(f"/v1/installations/{id}/removals", json={"splices": [1]}).status_code == 200
    plain.get_by_role("button", name="Keep this plan").click()
    expect(plain.get_by_role("heading", level=1)).to_have_text("Somebody was there meanwhile")
    plain.get_by_role("link", name="Check again with what lies there now").click()
    expect(plain.get_by_role("heading", level=1)).to_have_text("It fits")
    plain.get_by_role("button", name="Keep this plan").click()
    expect(plain.get_by_role("heading", name="Trays and slots")).to_be_visible()


def test_splices_are_taken_out_by_ticking_them(plain: Page, here: str) -> None:
    """Two ticks, one more look, and they are out."""
    plain.goto(f"{here}/remove")
    plain.get_by_role("checkbox").nth(0).check()
    plain.get_by_role("checkbox").nth(1).check()
    plain.get_by_role("button", name="Look at what is taken out").click()
    expect(plain.get_by_role("heading", level=1)).to_have_text("Take 2 splices out?")
    plain.get_by_role("button", name="Record that they are out").click()
    assert plain.url == here
    expect(plain.get_by_text("Splices taken out")).to_be_visible()
