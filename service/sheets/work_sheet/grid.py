"""Headings, paragraphs and tables of a work sheet, in black on white so that any printer will do."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from service.sheets.pdf_page import FONT, shown

if TYPE_CHECKING:
    from fpdf import FPDF

TICK = "☐"
"""A box to tick."""
WIDTH = 174.0
"""Width between the margins, mm."""
HEADING = 11.0
"""Height of a heading with the rule and the space over it, mm."""
_HEAD_FILL = (228, 228, 228)


def heading(pages: FPDF, text: str, room: float = 24) -> None:
    """A heading with a rule over it; on the next page where less than ``room`` mm are left for it and what follows."""
    if pages.get_y() + room > pages.h - pages.b_margin:
        pages.add_page()
    else:
        pages.ln(3)
    pages.set_line_width(0.5)
    pages.line(pages.l_margin, pages.get_y(), pages.l_margin + WIDTH, pages.get_y())
    pages.ln(1)
    pages.set_font(FONT, "B", 11)
    pages.cell(0, 6, shown(text), new_x="LMARGIN", new_y="NEXT")


def paragraph(pages: FPDF, text: str, size: float = 8.5, bold: bool = False) -> None:
    """A paragraph over the whole width."""
    pages.set_font(FONT, "B" if bold else "", size)
    pages.multi_cell(0, size * 0.5, shown(text), align="L", new_x="LMARGIN", new_y="NEXT")
    pages.ln(0.6)


def points(pages: FPDF, texts: Iterable[str], size: float = 8) -> None:
    """Sentences with a dash before each, hanging."""
    pages.set_font(FONT, "", size)
    for text in texts:
        pages.cell(4, size * 0.48, "–")
        pages.multi_cell(pages.epw - 4, size * 0.48, shown(text), align="L", new_x="LMARGIN", new_y="NEXT")
        pages.ln(0.5)


def table(
    pages: FPDF,
    heads: Sequence[str],
    widths: Sequence[float],
    rows: Iterable[Sequence[str]],
    right: Iterable[int] = (),
    size: float = 8,
    line: float = 4.0,
) -> None:
    """A table whose head comes again on every page; columns numbered in ``right`` end flush."""
    from fpdf.enums import TableBordersLayout
    from fpdf.fonts import FontFace

    flush = set(right)
    pages.set_font(FONT, "", size)
    with pages.table(
        col_widths=tuple(widths),
        width=WIDTH,
        text_align=tuple("RIGHT" if place in flush else "LEFT" for place in range(len(heads))),
        borders_layout=TableBordersLayout.HORIZONTAL_LINES,
        headings_style=FontFace(emphasis="BOLD", fill_color=_HEAD_FILL),
        line_height=line,
        padding=(0.5, 1),
    ) as drawn:
        drawn.row([shown(head) for head in heads])
        for row in rows:
            drawn.row([shown(cell) for cell in row])
    pages.ln(1)
