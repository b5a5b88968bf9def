"""What stands around the picture: the verdict first, reasons where it does not fit, cautions last."""

from __future__ import annotations

from collections.abc import Iterable

from service.domain.dossier import Dossier
from service.sheets.drawing.shapes import BLACK, WHITE, Block, Box, Line, Shape
from service.sheets.drawing.words import sentence_rows
from service.sheets.layout import counted
from service.sheets.layout import sentence as as_sentence


def title_of(dossier: Dossier) -> str:
    """The name of the splice point, or the plan's id where it has none."""
    return dossier.plan.name or f"Plan {dossier.id}"


def verdict_of(dossier: Dossier) -> str:
    """One sentence: what the plan says."""
    plan = dossier.plan
    splices = counted(plan.splices, "splice")
    if not plan.fits:
        return f"DOES NOT FIT: {splices}" + (f" in closure {plan.closure}." if plan.closure else ".")
    new = sum(tray.new for tray in plan.trays)
    trays = counted(len(plan.trays), "tray")
    if new != len(plan.trays):
        return f"Fits: {splices} more in closure {plan.closure}; {trays}, {new or 'none'} new."
    return f"Fits: {splices} in {trays} of closure {plan.closure}."


def head_block(dossier: Dossier, width: float) -> Block:
    """Name and verdict."""
    shapes, high = sentence_rows(title_of(dossier), 0, 0, width, 19, True)
    row, other = sentence_rows(verdict_of(dossier), 0, high + 2, width, 14, not dossier.plan.fits)
    at = high + 2 + other + 4
    shapes += [*row, Line(0, at, width, at, 2)]
    return Block("", at + 2, tuple(shapes))


def listed_block(title: str, texts: Iterable[str], width: float, framed: bool = False) -> Block:
    """A heading and a dash with a sentence for each text."""
    pad = 9 if framed else 0
    shapes, high = sentence_rows(title, pad, pad, width - 2 * pad, 14, True)
    at = pad + high
    for text in texts:
        shapes.append(Box(pad + 1, at + 6, 4, 4, BLACK, 0))
        row, high = sentence_rows(as_sentence(text), pad + 13, at, width - 2 * pad - 13)
        shapes, at = shapes + row, at + high + 2
    at += pad
    frame: list[Shape] = [Box(1, 1, width - 2, at - 2, WHITE, 2)] if framed else []
    return Block(title, at, (*frame, *shapes))
