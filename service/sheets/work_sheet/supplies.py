"""What to take along, each with a box to tick, and how long it takes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from service.domain.dossier import Dossier
from service.domain.plan import MaterialLine, Plan
from service.sheets.layout import counted, quantity
from service.sheets.work_sheet.grid import TICK, heading, points, table

if TYPE_CHECKING:
    from fpdf import FPDF


def supplies(pages: FPDF, dossier: Dossier) -> None:
    """Closure, trays, sleeves with their spares, materials; where the catalogue names tools by holder, the cards do."""
    plan = dossier.plan
    heading(pages, "Take along")
    heads = ("", "Quantity", "Item", "Title", "What for")
    table(pages, heads, (7, 24, 30, 55, 58), map(_row, plan.materials), right=(1,), size=7.5, line=3.5)
    points(pages, _spares(plan))


def _row(line: MaterialLine) -> tuple[str, ...]:
    included = f"; {quantity(line.included)} in the box" if line.included else ""
    return TICK, f"{quantity(line.quantity)} {line.unit}", line.material, line.title, f"{line.because}{included}"


def _spares(plan: Plan) -> Iterator[str]:
    for count in plan.sleeves:
        chance = f"{100 * count.confidence:g} % sure to last at {100 * count.rework:.3g} % remakes"
        yield f"{count.sleeve}: {counted(count.splices, 'splice')} and {counted(count.spares, 'spare')}, {chance}."


def hours(pages: FPDF, dossier: Dossier) -> None:
    """The crew's hours and what they rest on; nothing where the request names no crew."""
    crew = dossier.plan.crew
    if crew is None:
        return
    heading(pages, "Time")
    text = f"{crew.hours_median:.1f} h as likely as not, {crew.hours_90:.1f} h in nine cases of ten"
    if crew.fits_window is not None:
        text += "; inside the window" if crew.fits_window else "; LONGER THAN THE WINDOW"
    points(pages, [f"{text}. The slowest stage is: {crew.bottleneck}.", *crew.assumptions])
