"""Widths of letters, by which the drawing keeps its texts apart."""

from __future__ import annotations

from pathlib import Path

import pytest
from fpdf import FPDF
from hypothesis import given
from hypothesis import strategies as st

from service.sheets.drawing.letters import cut, width_of, wrapped

_FONTS = Path(__file__).parents[3] / "service" / "sheets" / "fonts"


@pytest.mark.parametrize("style", ["", "B"])
def test_widths_are_those_of_the_font(style: str) -> None:
    """Every ASCII letter is as wide as in DejaVu Sans: its condensed face, which lies here, is nine tenths of it."""
    pages = FPDF(unit="pt")
    pages.add_font("D", style, _FONTS / f"DejaVuSansCondensed{'-Bold' if style else ''}.ttf")
    pages.set_font("D", style, 1000)
    for code in range(33, 127):
        assert width_of(chr(code), 1000, bool(style)) == pytest.approx(pages.get_string_width(chr(code)) / 0.9, abs=3)
    for font in pages.fonts.values():
        font.ttfont.close()  # type: ignore[union-attr]


@given(st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), max_size=60), st.integers(40, 300))
def test_wrapping_keeps_every_letter_and_the_width(words: str, width: int) -> None:
    """Words without a blank are broken, none is lost, and no line is wider than asked."""
    lines = wrapped(words, width, 12)
    assert "".join(lines) == words
    assert all(width_of(line, 12) <= width for line in lines)


def test_a_cut_text_says_that_it_is_cut() -> None:
    """Three dots, and no wider than asked; a text that fits stays."""
    assert cut("tray", 100, 12) == "tray"
    short = cut("a tray with a very long name", 60, 12)
    assert short.endswith("...")
    assert width_of(short, 12) <= 60
