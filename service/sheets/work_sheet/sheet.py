"""The whole work sheet, cautions first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from service.domain.dossier import Dossier
from service.sheets.layout import counted, number
from service.sheets.pdf_page import FONT, MISSING, a4_pages, shown, written
from service.sheets.work_sheet.cables import cables, lengths
from service.sheets.work_sheet.grid import TICK, WIDTH, heading, paragraph, points
from service.sheets.work_sheet.head import head
from service.sheets.work_sheet.preparing import preparing
from service.sheets.work_sheet.splices import splices
from service.sheets.work_sheet.supplies import hours, supplies

if TYPE_CHECKING:
    from fpdf import FPDF


def work_sheet_pdf(dossier: Dossier) -> bytes:
    """The sheet as A4 pages. A plan that does not fit has its reasons and remedies, and nothing to build from."""
    plan = dossier.plan
    title = shown(f"Splicing work sheet: {plan.name}" if plan.name else f"Splicing work sheet {dossier.id}")
    pages = a4_pages(title, shown(f"Plan {dossier.id}"), dossier.created)
    head(pages, dossier)
    _cautions(pages, dossier)
    if not plan.fits:
        _refused(pages, dossier)
    else:
        cables(pages, dossier)
        lengths(pages, dossier)
        _place(pages, dossier)
        preparing(pages, dossier)
        supplies(pages, dossier)
        hours(pages, dossier)
        splices(pages, dossier)
    if plan.notes:
        heading(pages, "Notes")
        points(pages, plan.notes)
    if plan.fits:
        _signing(pages)
    _letters(pages, dossier)
    return written(pages)


def _cautions(pages: FPDF, dossier: Dossier) -> None:
    """Framed, and before anything else."""
    heading(pages, "Before you start")
    top = pages.get_y()
    pages.ln(1.5)
    pages.set_left_margin(pages.l_margin + 2)
    points(pages, dossier.plan.cautions, 7.8)
    pages.set_left_margin(pages.l_margin - 2)
    pages.set_line_width(0.8)
    pages.rect(pages.l_margin, top, WIDTH, pages.get_y() - top + 0.5)
    pages.set_xy(pages.l_margin, pages.get_y() + 1)


def _refused(pages: FPDF, dossier: Dossier) -> None:
    plan = dossier.plan
    heading(pages, "Why it does not fit")
    points(pages, [reason.text for reason in plan.reasons], 9)
    if plan.remedies:
        heading(pages, "What would make it fit")
        points(pages, [remedy.text for remedy in plan.remedies], 9)


def _place(pages: FPDF, dossier: Dossier) -> None:
    site = dossier.plan.site
    if site is None:
        return
    verdict = {True: "The closure and the coils fit the place.", False: "THE PLACE IS TOO SMALL.", None: "Not judged."}
    heading(pages, "Place")
    coils = [
        f"cable {coil.cable}: {counted(coil.turns, 'turn')}, {number(coil.diameter_mm)} mm inside, "
        f"{number(coil.thickness_mm)} mm thick" + ("" if coil.fits else "; DOES NOT FIT")
        for coil in site.coils
    ]
    points(pages, [verdict[site.fits], *coils, *site.notes])


def _signing(pages: FPDF) -> None:
    """Where whoever did it says so."""
    heading(pages, "Done", 34)
    done = (
        "every splice lies in its slot",
        "ports sealed, blanks in",
        "members bonded as the code asks",
        "closed, tested",
    )
    paragraph(pages, "     ".join(f"{TICK} {text}" for text in done), 8.5)
    pages.ln(8)
    pages.set_line_width(0.2)
    pages.set_font(FONT, "", 8)
    y, third = pages.get_y(), WIDTH / 3
    for place, label in enumerate(("Name", "Date and time", "Splicer and its serial number")):
        x = pages.l_margin + place * third
        pages.line(x, y, x + third - 6, y)
        pages.set_xy(x, y + 0.5)
        pages.cell(third, 4, label)
    pages.ln(6)


def _letters(pages: FPDF, dossier: Dossier) -> None:
    texts = (dossier.plan.name, *(at.tag for at in dossier.request.cables), *dossier.plan.notes)
    if any(MISSING in shown(text) and MISSING not in text for text in texts):
        paragraph(pages, f"Letters that cannot be printed here stand as {MISSING}.", 8)
