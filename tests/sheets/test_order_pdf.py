"""The order on paper: every line and sum on it, on as many pages as it takes, in a font that comes along."""

from __future__ import annotations

import re
import zlib
from dataclasses import replace

import pytest

from service.domain.order import Order
from service.sheets import order_pdf as module
from service.sheets.order_pdf import order_pdf
from service.sheets.pdf_page import MISSING, shown
from tests.sheets.small_order import LINES, ORDER


def _pages(content: bytes) -> int:
    return len(re.findall(rb"/Type /Page\b(?!s)", content))


def _cells(order: Order, monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, ...]]:
    """The rows of the table as they go to the page."""
    seen: list[tuple[str, ...]] = []
    real = module._cells

    def noted(number: int, line: object) -> tuple[str, ...]:
        seen.append(tuple(real(number, line)))  # type: ignore[arg-type]
        return seen[-1]

    monkeypatch.setattr(module, "_cells", noted)
    order_pdf(order)
    return seen


def test_what_is_to_be_bought_is_on_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Packs, pack size, what they hold, prices; a line that stock covers is left out, one without a price says so."""
    assert _cells(ORDER, monkeypatch) == [
        ("1", "dome-48", "Dome for 48, grey", "12", "1", "12 piece", "118.50", "1,422.00 EUR"),
        ("2", "rs-12", "Ribbon sleeve, 12 fibres", "31", "10", "310 piece", "20.00", "620.00 EUR"),
        ("3", "blade", LINES[2].title, "1", "1", "1 piece", "60.00", "60.00 USD"),
        ("4", "seal-20", "Ülke seal, 14–20 mm", "2", "2", "4 piece", "", "no price"),
    ]


def test_the_font_comes_along() -> None:
    """Both weights are embedded as subsets, so every reader shows the same letters."""
    content = order_pdf(ORDER)
    assert content.startswith(b"%PDF-1.")
    assert set(re.findall(rb"/FontName /[A-Z]+\+(\w+)", content)) == {
        b"DejaVuSansCondensed",
        b"DejaVuSansCondensedBold",
    }
    assert content.count(b"/FontFile2") == 2


def test_the_same_order_makes_the_same_bytes() -> None:
    """The date in the file is that of the order."""
    content = order_pdf(ORDER)
    assert content == order_pdf(ORDER)
    assert b"/CreationDate (D:20261125093015Z)" in content


def test_a_long_order_goes_on_over_pages() -> None:
    """Ninety lines take several pages, each with its number and the head of the table."""
    lines = tuple(replace(LINES[place % 4], item=f"item-{place:02}") for place in range(90))
    content = order_pdf(replace(ORDER, lines=lines))
    pages = _pages(content)
    assert 2 <= pages <= 6
    streams = [zlib.decompress(each) for each in re.findall(rb"stream\n(x.*?)\nendstream", content, re.DOTALL)[:pages]]
    heads = [stream.count(b"0.91 0.91 0.91") + stream.count(b"0.9098 0.9098 0.9098") for stream in streams]
    assert all(heads), heads


def test_an_order_that_stock_covers_says_so() -> None:
    """Nothing to buy is a page too."""
    assert _pages(order_pdf(replace(ORDER, lines=LINES[4:], totals=(), unpriced=0))) == 1


@pytest.mark.parametrize(
    ("text", "printed"),
    [("Łódź – Ärger, Ελλάδα, Москва, 12 µm ×3", None), ("漢字", MISSING * 2), ("a\nb\x07", "a b"), ("=1+1", None)],
)
def test_letters_that_the_font_lacks_are_marked(text: str, printed: str | None) -> None:
    """Latin, Greek and Cyrillic are printed, others stand as a box."""
    assert shown(text) == (text if printed is None else printed)
