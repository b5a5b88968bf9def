"""The splice schedule on paper: tray by tray, a line a splice, with a box to tick and room for what was measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from service.domain.dossier import Dossier
from service.domain.plan import ParkedEnds, PlannedTray
from service.sheets.layout import counted, listed, number
from service.sheets.schedule.ends import EndFacts
from service.sheets.schedule.rows import ScheduleRow, schedule_rows
from service.sheets.schedule.text_csv import span, span_of_colours
from service.sheets.work_sheet.grid import TICK, heading, paragraph, table
from service.standards.colours import ORDER, colour

if TYPE_CHECKING:
    from fpdf import FPDF

_WIDTHS = (6, 13, 54, 54, 16, 15, 16)

_ROOM = 46.0
"""What a tray's title, its facts, the table's head and three lines take, mm: fewer lines are not left at a foot."""


def splices(pages: FPDF, dossier: Dossier) -> None:
    """Every tray with what is spliced into it in this visit; trays that hang and stay as they are have one line."""
    heading(pages, "Splices, tray by tray", 40)
    colours = ", ".join(f"{place} {name}" for place, name in enumerate(ORDER, 1))
    paragraph(pages, f"Colours in their order: {colours}; from 13 on with tracers. Slots are told as bank · slot.", 8)
    rows = {tray: list(group) for tray, group in groupby(schedule_rows(dossier), key=lambda row: row.tray)}
    for tray in sorted(dossier.plan.trays, key=lambda tray: tray.position):
        _tray(pages, dossier, tray, rows.get(tray.position, []))


def _tray(pages: FPDF, dossier: Dossier, tray: PlannedTray, rows: Sequence[ScheduleRow]) -> None:
    if pages.get_y() + _ROOM > pages.h - pages.b_margin:
        pages.add_page()
    model = dossier.tray(tray.tray)
    title = f"{tray.tray}, {model.title}" if model else tray.tray
    state = "add it" if tray.new else "hangs already"
    paragraph(pages, f"Tray {tray.position} of {len(dossier.plan.trays)}: {title} ({state})", 9.5, bold=True)
    paragraph(pages, "; ".join(_facts(dossier, tray)) + ".", 8)
    if rows:
        # With the tray's number, since the head is all that a table has of it on its next page.
        heads = ("", f"Tray {tray.position}", "From", "To", "Sleeve", "Loss dB", "Remakes")
        table(pages, heads, _WIDTHS, map(_line, rows), line=4.6)
    else:
        paragraph(pages, "Nothing is spliced into it in this visit.", 8)


def _facts(dossier: Dossier, tray: PlannedTray) -> Iterator[str]:
    for bank in tray.banks:
        if bank.slot_kind is None:
            yield f"bank {bank.bank} stays unset"
        else:
            free = bank.slots - bank.used
            yield f"bank {bank.bank} holds {bank.slot_kind}: {counted(bank.used, 'slot')} taken, {free} free"
    if tray.keep_apart is not None:
        yield f"kept apart for {tray.keep_apart}"
    if tray.stored_turns:
        yield f"{counted(tray.stored_turns, 'turn')} stored, both sides together"
    of = "" if tray.storage_mm2 is None else f" of {number(tray.storage_mm2)}"
    yield f"storage channel {number(tray.storage_used_mm2)}{of} mm²"
    before = [_parked(dossier, ends) for ends in dossier.parked_in(tray.position)]
    if before:
        yield f"parked here by earlier visits: {listed(before)}"
    for ends in tray.parked:
        yield f"park {_parked(dossier, ends)}"


def _parked(dossier: Dossier, ends: ParkedEnds) -> str:
    kinds = [counted(ends.ribbons, "ribbon")] if ends.ribbons else []
    kinds += [counted(ends.fibres, "loose fibre")] if ends.fibres else []
    known = dossier.cable(ends.cable) is not None
    tube = f"tube {ends.tube} ({colour(ends.tube).text})" if known else f"tube {ends.tube}"
    return f"{' and '.join(kinds)} of {ends.cable} {tube}"


def _line(row: ScheduleRow) -> tuple[str, ...]:
    slot = f"{row.bank} · {row.slot}"
    return TICK, slot, _end(row.from_), _end(row.to), row.sleeve, "", ""


def _end(end: EndFacts) -> str:
    """One side: tag, tube with its colour, ribbon or fibre, and its colours where it is less than a ribbon."""
    tag = f"{end.cable} (out)" if end.leaves else end.cable
    tube = "" if end.tube is None else f" · tube {end.tube} {end.tube_colour}"
    if len(end.fibres) == 1:
        fibre = f" · fibre {end.fibres[0]}"
        return f"{tag}{tube}{fibre} {span_of_colours(end)}" if end.positions else f"{tag}{tube}{fibre}"
    half = "" if end.half is None else f", {('first', 'second')[end.half - 1]} half"
    numbers = span(end.fibres)
    return f"{tag}{tube} · ribbon {end.ribbon}{half}" + (f" ({numbers})" if numbers else "")
