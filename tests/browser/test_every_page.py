"""Every page as it stands in a browser: readable, reachable, within its bounds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

from tests.browser.conftest import Site

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    },
    "rules": {"color-contrast-enhanced": {"enabled": True}, "target-size": {"enabled": True}},
}
"""WCAG 2.2 AA and good practice, and contrast of 7:1."""

EVERYTHING_AT = (("light", 320), ("dark", 390))
RICHEST = (
    "many rows",
    "it fits",
    "it does not fit",
    "not in order",
    "plan",
    "takeoff waiting",
    "order",
    "installation",
    "judged",
)
RICHEST += ("it fits in", "it does not fit in", "fit in, not in order", "take out", "near nothing")
"""Axe takes a second a page: at two widths and schemes it looks at every page, at the other two at the richest."""

SMALL_TARGETS = """() => [...document.querySelectorAll('a, button, input:not([type=hidden]), select, summary')]
  .filter(e => e.checkVisibility() && e.getAttribute('aria-hidden') != 'true' && !e.matches('.jump'))
  .map(e => [e.outerHTML.slice(0, 90), (e.closest('label') || e).getBoundingClientRect()])
  .filter(([, box]) => box.width < 44 || box.height < 44)
  .map(([html, box]) => html + ' ' + box.width + 'x' + box.height)"""
SIDEWAYS = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def phone(chromium: Browser, scheme: Literal["light", "dark"], width: int) -> Iterator[Page]:
    """A phone of that width, in that scheme of colours."""
    page = chromium.new_page(viewport={"width": width, "height": 844}, color_scheme=scheme)
    yield page
    page.close()


@pytest.mark.parametrize("width", [390, 320])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_is_small_or_sticks_out(phone: Page, site: Site, scheme: str, width: int) -> None:
    """WCAG 2.2 AA, contrast 7:1, targets of 44 px and more, no sideways scroll, under 30 kB, nothing in the console."""
    said: list[str] = []
    axe = Axe()
    phone.on("console", lambda message: said.append(message.text))
    found: dict[str, list[Any]] = {}
    for name, path in site.pages.items():
        answer = phone.goto(site.root + path)
        assert answer is not None
        looked_at = (scheme, width) in EVERYTHING_AT or name in RICHEST
        violations = axe.run(phone, options=RULES).response["violations"] if looked_at else []
        wrong = [(each["id"], [node["html"][:120] for node in each["nodes"][:3]]) for each in violations]
        wrong += [("small", text) for text in phone.evaluate(SMALL_TARGETS)]
        if (sideways := phone.evaluate(SIDEWAYS)) > 0:
            wrong.append(("sideways", sideways))
        if len(answer.body()) >= 30_000:
            wrong.append(("bytes", len(answer.body())))
        wrong += [("console", text) for text in said if "status of" not in text]
        said.clear()
        if wrong:
            found[name] = wrong
    assert found == {}


def test_text_of_twice_the_size_stays_on_the_page(chromium: Browser, site: Site) -> None:
    """At 200 % text on a phone of 320 px nothing is cut off or has to be scrolled sideways."""
    page = chromium.new_page(viewport={"width": 320, "height": 844})
    found = {}
    for name, path in site.pages.items():
        page.goto(site.root + path)
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        if (sideways := page.evaluate(SIDEWAYS)) > 0:
            found[name] = sideways
    page.close()
    assert found == {}


def test_the_keyboard_goes_through_a_page_from_top_to_bottom(chromium: Browser, site: Site) -> None:
    """Tab reaches every field, button and link once, in the order in which they are read, and each can be seen then."""
    page = chromium.new_page(viewport={"width": 390, "height": 844})
    page.goto(site.root + site.pages["not in order"])
    wanted: list[str] = page.evaluate(
        """() => { const kinds = 'a[href], button, input:not([type=hidden]), select, summary';
        const all = [...document.querySelectorAll(kinds)].filter(e => e.tabIndex >= 0 && e.checkVisibility());
        all.forEach((e, i) => e.setAttribute('data-place', i)); return all.map((e, i) => String(i)); }"""
    )
    reached = []
    for _ in wanted:
        page.keyboard.press("Tab")
        place, width, left, top = page.evaluate(
            """() => { const e = document.activeElement, box = (e.closest('label') || e).getBoundingClientRect();
            return [e.getAttribute('data-place'), box.width, box.left, box.top]; }"""
        )
        reached.append(place)
        assert width > 0 and left >= 0 and top >= 0, place
    page.close()
    assert reached == wanted and len(wanted) > 20
