"""A bank of a tray: every splice as a sleeve between its two ends, and the empty slots in rows."""

from __future__ import annotations

from collections.abc import Sequence

from service.domain.dossier import Dossier
from service.domain.installation import LaidSplice
from service.domain.plan import BankUse, PlacedSplice
from service.sheets.drawing.ends import end_words
from service.sheets.drawing.letters import width_of
from service.sheets.drawing.shapes import BLACK, GREY, HATCHED, LIGHT, WHITE, Box, Line, Shape, Text
from service.sheets.drawing.slots import BankSlots
from service.sheets.drawing.words import SIZE, STEP, Words, columns_of, in_rows, sentence_rows

SIDE_BY_SIDE = 560
"""From this width on a splice has its two ends left and right of the sleeve, below it one above the other."""
_PAD = 7
_SLEEVE, _HIGH = 42, 18
_CELL, _CELL_STEP = 27, 31


def bank_shapes(
    dossier: Dossier, bank: BankUse, slots: BankSlots | None, x: float, y: float, width: float, hangs: bool
) -> tuple[list[Shape], float]:
    """The bank's frame with all that is in it, and its height. ``hangs``: what is new is marked."""
    head = _head(bank, slots)
    shapes, high = sentence_rows(head, x + _PAD, y + 4, width - 2 * _PAD, SIZE, True)
    at = y + 4 + high + 4
    inner = width - 2 * _PAD
    taken = "taken before" if hangs else "taken by parked ends"
    row, high = _cells(taken, slots.taken if slots else (), LIGHT, x + _PAD, at, inner)
    shapes, at = shapes + row, at + high
    rows = [_ends(dossier, splice, hangs) for splice in (slots.splices if slots else ())]
    room = (inner - _SLEEVE) / 2 - 20 if inner >= SIDE_BY_SIDE else inner - _SLEEVE - 30
    columns = columns_of([end for row in rows for end in row], room)
    for splice, ends in zip(slots.splices if slots else (), rows, strict=True):
        row, high = _splice(splice, ends, x + _PAD, at, inner, hangs, columns)
        shapes += row
        at += high
    if slots:
        for label, numbers, fill in (("free", slots.free, WHITE), ("free, kept for growth", slots.kept, HATCHED)):
            row, high = _cells(label, numbers, fill, x + _PAD, at, inner)
            shapes += row
            at += high
    high = at + 2 - y
    return [Box(x, y, width, high, "none", 1, dashed=slots is None, corner=4), *shapes], high


def _head(bank: BankUse, slots: BankSlots | None) -> str:
    if slots is None:
        return f"bank {bank.bank}: not set, takes any slot kind that it offers"
    head = f"bank {bank.bank}: {bank.slot_kind}, {bank.used} of {bank.slots} slots taken"
    sleeves = sorted({splice.sleeve for splice in slots.splices})
    return f"{head}, sleeve {' and '.join(sleeves)}" if sleeves else head


def _ends(dossier: Dossier, splice: PlacedSplice | LaidSplice, hangs: bool) -> tuple[list[Words], list[Words]]:
    from_ = end_words(splice.from_, dossier.cable(splice.from_.cable), splice.fibres)
    to = end_words(splice.to, dossier.cable(splice.to.cable), splice.fibres)
    if hangs:
        to.append(Words("lies already") if isinstance(splice, LaidSplice) else Words("new", bold=True))
    return from_, to


def _splice(
    splice: PlacedSplice | LaidSplice,
    ends: tuple[list[Words], list[Words]],
    x: float,
    y: float,
    width: float,
    hangs: bool,
    columns: Sequence[float],
) -> tuple[list[Shape], float]:
    """One splice: its sleeve with the slot's number, and the two ends."""
    lies = isinstance(splice, LaidSplice)
    colour = GREY if lies else BLACK
    from_, to = ends
    if width >= SIDE_BY_SIDE:
        half = (width - _SLEEVE) / 2 - 12
        left, one = in_rows(from_, x + 8, y + 3, half - 8, colour, columns)
        right, other = in_rows(to, x + width - half, y + 3, half, colour, columns)
        high, sleeve_x = max(one, other) + 6, x + half + 12
        middle = y + high / 2
        shapes = [Line(sleeve_x - 12, middle, sleeve_x + _SLEEVE + 8, middle, 2)]
    else:
        room = width - _SLEEVE - 30
        ends_x = x + _SLEEVE + 30
        left, one = in_rows(from_, ends_x, y + 3, room, colour, columns)
        right, other = in_rows(to, ends_x, y + 3 + one, room, colour, columns)
        high, sleeve_x = one + other + 8, x + 10
        middle = y + high / 2
        out, in_ = sleeve_x + _SLEEVE, ends_x - 5
        shapes = [
            Line(out, middle - 3, in_, y + 3 + STEP / 2, 1.5),
            Line(out, middle + 3, in_, y + 3 + one + STEP / 2, 1.5),
        ]
    number = Text(sleeve_x + _SLEEVE / 2, middle + 4.5, str(splice.slot), "middle", SIZE, True, colour)
    sleeve = Box(sleeve_x, middle - _HIGH / 2, _SLEEVE, _HIGH, LIGHT if lies else WHITE, 1 if lies else 2, corner=8)
    bar: list[Shape] = [Box(x, y + 2, 5, high - 4, BLACK, 0)] if hangs and not lies else []
    rule = Line(x, y, x + width, y, 0.5, colour="#bbb")
    return [rule, *bar, *shapes, sleeve, number, *left, *right], high


def _cells(
    label: str, numbers: Sequence[int], fill: str, x: float, y: float, width: float
) -> tuple[list[Shape], float]:
    """Empty or taken slots in rows, a small sleeve each with its number; the label goes before them."""
    if not numbers:
        return [], 0
    shapes: list[Shape] = [Text(x, y + 15, label, size=SIZE)]
    at, line = width_of(label, SIZE) + 8, 0
    for slot in numbers:
        if at + _CELL > width:
            at, line = 0.0, line + 1
        top = y + 3 + 22 * line
        shapes.append(Box(x + at, top, _CELL, 16, fill, 1, dashed=fill == WHITE, corner=7))
        if fill == HATCHED:
            # The number needs white behind it.
            shapes.append(Box(x + at + 4, top + 1.5, _CELL - 8, 13, WHITE, 0))
        shapes.append(Text(x + at + _CELL / 2, top + 12.3, str(slot), "middle", SIZE))
        at += _CELL_STEP
    return shapes, 22 * (line + 1) + 3
