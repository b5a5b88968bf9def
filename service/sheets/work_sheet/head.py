"""The head of a work sheet: what it is for, the verdict, and a code to scan that leads to the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.domain.dossier import Dossier
from service.sheets.layout import counted
from service.sheets.order_facts import day_of
from service.sheets.pdf_page import FONT, shown

if TYPE_CHECKING:
    from fpdf import FPDF

_CODE = 30.0
_QUIET = 4
"""Light modules that a reader needs around a code (ISO/IEC 18004, from memory)."""


def head(pages: FPDF, dossier: Dossier) -> None:
    """Name and facts at the left, the code at the right where the plan has an address."""
    top, left = pages.get_y(), pages.l_margin
    if dossier.link is not None:
        _code(pages, dossier.link, pages.w - pages.r_margin - _CODE, top)
        pages.set_right_margin(pages.r_margin + _CODE + 4)
    pages.set_font(FONT, "", 9)
    pages.cell(0, 4.5, "Splicing work sheet", new_x="LMARGIN", new_y="NEXT")
    pages.set_font(FONT, "B", 16)
    name = dossier.plan.name or f"Plan {dossier.id}"
    pages.multi_cell(0, 7, shown(name), align="L", new_x="LMARGIN", new_y="NEXT")
    pages.ln(1)
    pages.set_font(FONT, "B", 10.5)
    pages.multi_cell(0, 5.2, shown(_verdict(dossier)), align="L", new_x="LMARGIN", new_y="NEXT")
    pages.set_font(FONT, "", 8.5)
    made = f"Plan {dossier.id}, made {day_of(dossier.created)}"
    pages.multi_cell(0, 4.4, shown(made), align="L", new_x="LMARGIN", new_y="NEXT")
    if dossier.link is not None:
        pages.multi_cell(0, 4.4, shown(dossier.link), align="L", new_x="LMARGIN", new_y="NEXT")
        pages.set_right_margin(pages.w - left - 174)
        pages.set_y(max(pages.get_y(), top + _CODE + 1))


def _verdict(dossier: Dossier) -> str:
    plan = dossier.plan
    if not plan.fits:
        return "DOES NOT FIT. There is nothing here to build from."
    closure = dossier.catalogue.closures.get(plan.closure or "")
    named = f"{plan.closure}, {closure.title}" if closure else plan.closure or ""
    new = sum(tray.new for tray in plan.trays)
    trays = counted(len(plan.trays), "tray")
    if new < len(plan.trays):
        trays += f" ({counted(new, 'tray')} to add)" if new else " (none to add)"
    return f"{named}: {counted(plan.splices, 'splice')} in {trays}"


def _code(pages: FPDF, link: str, x: float, y: float) -> None:
    """The address as a QR code, drawn as boxes so that it prints sharp at any size."""
    import segno

    code = segno.make(link, error="m", micro=False, boost_error=False)
    matrix = [list(row) for row in code.matrix]
    module = _CODE / (len(matrix) + 2 * _QUIET)
    pages.set_fill_color(0)
    for row, modules in enumerate(matrix):
        start = None
        for column, dark in enumerate([*modules, 0]):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                across = (column - start) * module
                pages.rect(x + (start + _QUIET) * module, y + (row + _QUIET) * module, across, module, "F")
                start = None
