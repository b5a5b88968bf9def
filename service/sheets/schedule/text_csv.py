"""The schedule as CSV, a line a splice, its columns named as the members of the API are."""

from __future__ import annotations

from collections.abc import Iterator

from service.domain.dossier import Dossier
from service.sheets.csv_table import Cell, csv_table
from service.sheets.schedule.ends import EndFacts
from service.sheets.schedule.rows import ScheduleRow, schedule_rows

_END = ("cable", "end", "tube", "tube_colour", "ribbon", "half", "fibres", "fibre_colours")
HEAD = (
    *("splice", "tray", "tray_model", "new_tray", "bank", "slot", "slot_kind", "sleeve", "fibres"),
    *(f"from_{name}" for name in _END),
    *(f"to_{name}" for name in _END),
    *("bundle", "keep_apart"),
)


def schedule_csv(dossier: Dossier) -> bytes:
    """All splices of the plan in the order of the trays; the head alone where it does not fit."""
    return csv_table(HEAD, map(_line, schedule_rows(dossier)))


def _line(row: ScheduleRow) -> tuple[Cell, ...]:
    return (
        *(row.number, row.tray, row.tray_model, "yes" if row.new_tray else "no", row.bank, row.slot, row.slot_kind),
        *(row.sleeve, row.fibres, *_end(row.from_), *_end(row.to), row.bundle, row.keep_apart),
    )


def _end(end: EndFacts) -> Iterator[Cell]:
    yield end.cable
    yield "out" if end.leaves else "in"
    yield end.tube
    yield end.tube_colour
    yield end.ribbon
    yield end.half
    yield span(end.fibres)
    yield None if not end.positions else span_of_colours(end)


def span(numbers: tuple[int, ...]) -> str | None:
    """Numbers that follow one another: ``"13-24"``, ``"7"``, None for none."""
    if not numbers:
        return None
    return str(numbers[0]) if len(numbers) == 1 else f"{numbers[0]}-{numbers[-1]}"


def span_of_colours(end: EndFacts) -> str:
    """The first and last colour of an end: ``"blue to aqua"``, ``"rose"``."""
    colours = end.fibre_colours
    return colours[0] if len(colours) == 1 else f"{colours[0]} to {colours[-1]}"
