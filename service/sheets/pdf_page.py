"""A4 pages with a foot, in an embedded font, for sheets that go to other people.

The font is DejaVu Sans Condensed (Latin, Greek, Cyrillic and more; its licence lies beside it). Letters that it does
not have stand as ▯, and the last page says so. The same content makes the same bytes: the date is given.
"""

from __future__ import annotations

from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from service.sheets.safe_text import plain_text

if TYPE_CHECKING:
    from fpdf import FPDF

FONT = "DejaVu"
MISSING = "▯"
_FONTS = Path(__file__).parent / "fonts"
_FILES = {"": "DejaVuSansCondensed.ttf", "B": "DejaVuSansCondensed-Bold.ttf"}


def a4_pages(title: str, foot: str, created: datetime) -> FPDF:
    """An empty document with one page; every page ends with ``foot`` and its number."""
    from fpdf import FPDF  # with what it imports a third of a second: not before somebody asks for a PDF

    class Pages(FPDF):
        def footer(self) -> None:
            """Write the foot of a page."""
            self.set_y(-14)
            self.set_font(FONT, size=8)
            self.cell(0, 4, foot, align="L")
            self.set_y(-14)
            self.cell(0, 4, f"page {self.page_no()} of {{nb}}", align="R")

    pages = Pages(format="A4")
    _add_font(pages)
    pages.set_creation_date(created.astimezone(UTC).replace(microsecond=0))
    pages.set_title(title)
    pages.set_lang("en-GB")
    pages.set_margins(18, 16, 18)
    pages.set_auto_page_break(True, 20)
    pages.add_page()
    pages.set_font(FONT, size=9)
    return pages


def written(pages: FPDF) -> bytes:
    """The bytes of a finished document."""
    try:
        return bytes(pages.output())
    finally:
        _close_fonts(pages)


def shown(text: str) -> str:
    """Plain text in letters that the font has; a letter that it lacks stands as ``MISSING``."""
    plain = plain_text(text)
    if plain.isascii():
        return plain
    known = _letters()
    return "".join(letter if ord(letter) in known else MISSING for letter in plain)


@lru_cache(maxsize=1)
def _letters() -> frozenset[int]:
    """The letters that both weights have."""
    from fpdf import FPDF
    from fpdf.fonts import TTFFont

    pages = FPDF()
    _add_font(pages)
    ordinary, bold = (frozenset(font.cmap) for font in pages.fonts.values() if isinstance(font, TTFFont))
    _close_fonts(pages)
    return ordinary & bold


def _add_font(pages: FPDF) -> None:
    for style, file in _FILES.items():
        pages.add_font(FONT, style, _FONTS / file)


def _close_fonts(pages: FPDF) -> None:
    """The library leaves the files of embedded fonts open."""
    for font in pages.fonts.values():
        if hasattr(font, "ttfont"):
            font.ttfont.close()
