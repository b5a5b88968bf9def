"""The ports as seen from the end face of the closure: circles in proportion to the largest cable that each takes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import cos, pi, sin

from service.domain.dossier import Dossier
from service.sheets.drawing.entries import Entry, closure_of
from service.sheets.drawing.shapes import HATCHED, WHITE, Box, Round, Shape, Text
from service.sheets.drawing.words import SIZE, Words, in_rows, sentence_rows
from service.sheets.layout import number

_MOST = 24
"""Ports that a face can show; more than that are listed only."""
_LEAST = 9.5
"""The radius that a port's number needs."""


def faces(dossier: Dossier, entries: Sequence[Entry], x: float, y: float, width: float) -> tuple[list[Shape], float]:
    """The end face of a dome, or one face a group of ports of an inline closure, and the height taken."""
    closure = closure_of(dossier)
    shown = [entry for entry in entries if entry.od_max_mm]
    if closure is None or not shown or len(shown) > _MOST:
        return [], 0
    if closure.form == "dome":
        sides = [("end face with the ports", shown)]
    else:
        grouped = groupby(shown, key=lambda entry: entry.group)
        sides = [(f"ports {group}", list(each)) for group, each in grouped]
    room = min(width / len(sides) - 8, 230)
    shapes: list[Shape] = []
    for place, (label, each) in enumerate(sides):
        shapes += _face(each, x + (width / len(sides)) * (place + 0.5), y + room / 2 + 20, room / 2, label)
    return shapes, room + 26


def _face(entries: Sequence[Entry], x: float, y: float, radius: float, label: str) -> list[Shape]:
    """One face: ports that take several cables in the middle where there is one, the others in a ring."""
    several = [entry for entry in entries if entry.takes > 1]
    middle = several if len(several) == 1 and len(entries) > 2 else []
    ring = [entry for entry in entries if entry not in middle]
    scale = _scale(middle, ring, radius - 8)
    shapes: list[Shape] = [Text(x, y - radius - 6, label, "middle", SIZE), Round(x, y, radius, WHITE, 2)]
    for entry in middle:
        shapes += _port(entry, x, y, scale)
    widest = max((_radius(entry, scale) for entry in ring), default=0)
    away = 0 if len(ring) == 1 and not middle else radius - 8 - widest
    turn = sum(_radius(entry, scale) for entry in ring)
    at = 0.0
    for entry in ring:
        share = _radius(entry, scale) / turn
        angle = 2 * pi * (at + share / 2) - pi / 2
        at += share
        shapes += _port(entry, x + away * cos(angle), y + away * sin(angle), scale)
    return shapes


def _scale(middle: Sequence[Entry], ring: Sequence[Entry], room: float) -> float:
    """Units for a mm of diameter, so that ring and middle fit beside each other (four digits are enough)."""
    scale = 4.0
    while scale > 0.1:
        widest = max((_radius(entry, scale) for entry in ring), default=0)
        core = max((_radius(entry, scale) for entry in middle), default=0)
        around = 2 * pi * (room - widest)
        needed = sum(2 * _radius(entry, scale) + 6 for entry in ring)
        if core + 2 * widest + 6 <= room and (len(ring) < 2 or needed <= around * 0.94):
            break
        scale *= 0.93
    return scale


def _radius(entry: Entry, scale: float) -> float:
    """Half of the port's greatest width; one for two cables is twice as wide as it is high."""
    wide = 2 if entry.takes > 1 else 1
    return max((entry.od_max_mm or 0) / 2 * scale, _LEAST) * wide


def _port(entry: Entry, x: float, y: float, scale: float) -> list[Shape]:
    wide = _radius(entry, scale)
    high = wide / 2 if entry.takes > 1 else wide
    fill = "#eee" if entry.cables else HATCHED
    outline = Box(x - wide, y - high, 2 * wide, 2 * high, fill, 2 if entry.cables else 1, corner=high)
    label = Text(x, y + 4.3, str(entry.number), "middle", SIZE, True)
    return [outline, Round(x, y, 8.5, WHITE, 0), label]


def entry_rows(
    dossier: Dossier, entries: Sequence[Entry], x: float, y: float, width: float
) -> tuple[list[Shape], float]:
    """Every port by its number: name, cables with their diameters, and its seal; blanks together at the end."""
    shapes: list[Shape] = []
    at = y
    for entry in entries:
        if not entry.cables:
            continue
        pieces = [Words(f"{entry.number} {entry.name}:", bold=True)]
        pieces += [Words(_cable(dossier, entry, tag)) for tag in dict.fromkeys(entry.cables)]
        seal = " and ".join(f"{number(od)} mm" for od in entry.seals_mm)
        pieces += [Words(f"seal {seal}")] if seal else []
        row, high = in_rows(pieces, x, at, width)
        shapes, at = shapes + row, at + high + 2
    blanks = [f"{entry.number} {entry.name}" for entry in entries if not entry.cables]
    if blanks:
        row, high = sentence_rows(f"Blank, each with a plug: {', '.join(blanks)}.", x, at, width)
        shapes, at = shapes + row, at + high
    return shapes, at - y


def _cable(dossier: Dossier, entry: Entry, tag: str) -> str:
    cable = dossier.cable(tag)
    both = " in and out" if entry.cables.count(tag) > 1 else ""
    return f"cable {tag}{both}" + ("" if cable is None else f", {number(cable.od_mm)} mm")
