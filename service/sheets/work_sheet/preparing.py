"""The preparation card for each ribbon form: how its ends are stripped, cleaved and held."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from service.domain.dossier import Dossier
from service.domain.plan import Plan, Preparation
from service.sheets.layout import counted, number
from service.sheets.pdf_page import FONT, shown
from service.sheets.work_sheet.grid import HEADING, WIDTH, heading

if TYPE_CHECKING:
    from fpdf import FPDF

_GAP = 4.0
_LINE = 4.3
_LABEL = 33.0


def preparing(pages: FPDF, dossier: Dossier) -> None:
    """A framed card for each form of work, two beside each other."""
    cards = [(_title(card), list(_facts(card, dossier.plan))) for card in dossier.plan.preparation]
    if not cards:
        return
    width = (WIDTH - _GAP) / 2
    first = max(_height(pages, title, facts, width) for title, facts in cards[:2])
    heading(pages, "Preparation", HEADING + first)
    for place in range(0, len(cards), 2):
        pair = cards[place : place + 2]
        tall = max(_height(pages, title, facts, width) for title, facts in pair)
        if pages.get_y() + tall > pages.h - pages.b_margin:
            pages.add_page()
        top = pages.get_y() + 1
        for number_, (title, facts) in enumerate(pair):
            _card(pages, pages.l_margin + number_ * (width + _GAP), top, width, tall, title, facts)
        pages.set_xy(pages.l_margin, top + tall + 2)


def _title(card: Preparation) -> str:
    return f"{card.title}: {counted(card.ends, 'end')}"


def _facts(card: Preparation, plan: Plan) -> Iterator[tuple[str, str]]:
    if card.strip_length_mm is not None:
        within = f" ± {card.strip_tolerance_mm:g}" if card.strip_tolerance_mm is not None else ""
        yield "Strip length", f"{card.strip_length_mm:g}{within} mm"
    if card.strip_dwell_s is not None:
        repeats = f", {card.strip_repeats} times" if (card.strip_repeats or 1) > 1 else ""
        yield "In the heated stripper", f"{number(card.strip_dwell_s)} s{repeats}"
    if card.cleave_length_mm is not None:
        yield "Cleave length", f"{card.cleave_length_mm:g} mm"
    if card.holder is not None:
        yield "Holder", card.holder
    if card.cutback_mm is not None:
        yield "Lost at each attempt", f"{card.cutback_mm:g} mm of every end"
    if plan.slack:
        least = min(slack.remakes_left for slack in plan.slack)
        yield "Remakes afforded", f"{least}, planned ones included"
    if card.notes is not None:
        yield "Note", card.notes
    origin = "shipped, check against your tools" if card.shipped else f"method {card.method} of the catalogue"
    yield "Figures", origin


def _lines(pages: FPDF, text: str, width: float) -> list[str]:
    lines = pages.multi_cell(width, _LINE, shown(text), align="L", dry_run=True, output="LINES")
    return lines if isinstance(lines, list) and lines else [""]


def _height(pages: FPDF, title: str, facts: list[tuple[str, str]], width: float) -> float:
    pages.set_font(FONT, "B", 9)
    lines = len(_lines(pages, title, width - 4))
    pages.set_font(FONT, "", 8.5)
    lines += sum(len(_lines(pages, text, width - _LABEL - 5)) for _, text in facts)
    return lines * _LINE + 4.5


def _card(pages: FPDF, x: float, y: float, width: float, tall: float, title: str, facts: list[tuple[str, str]]) -> None:
    pages.set_line_width(0.3)
    pages.rect(x, y, width, tall)
    pages.set_xy(x + 2, y + 1.5)
    pages.set_font(FONT, "B", 9)
    pages.multi_cell(width - 4, _LINE, shown(title), align="L", new_x="LEFT", new_y="NEXT")
    pages.set_font(FONT, "", 8.5)
    for label, text in facts:
        pages.set_x(x + 2)
        pages.cell(_LABEL, _LINE, label)
        pages.multi_cell(width - _LABEL - 5, _LINE, shown(text), align="L", new_x="LEFT", new_y="NEXT")
