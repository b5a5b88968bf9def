"""The closure as it hangs: from its side, from its end face, and every port with what is in it."""

from __future__ import annotations

from service.domain.dossier import Dossier
from service.sheets.drawing.entries import closure_of, entries_of
from service.sheets.drawing.face import entry_rows, faces
from service.sheets.drawing.outside import side_view
from service.sheets.drawing.shapes import Block
from service.sheets.drawing.words import sentence_rows

_WIDE = 560


def closure_block(dossier: Dossier, width: float, hangs: bool) -> Block:
    """Side and face beside each other where there is room, below each other where there is not."""
    closure = closure_of(dossier)
    title = f"Closure {dossier.plan.closure}" + (f": {closure.title}" if closure and closure.title else "")
    entries = entries_of(dossier)
    shapes, high = sentence_rows(title, 0, 0, width, 15, True)
    at = high + 4
    if width >= _WIDE:
        left = width * 0.56
        side, high = side_view(dossier, entries, 0, at, left, hangs)
        face, other = faces(dossier, entries, width * 0.6, at - 4, width * 0.4)
        rows, under = entry_rows(dossier, entries, 0, at + high + 8, left)
        return Block(title, at + max(high + 8 + under, other), (*shapes, *side, *face, *rows))
    side, high = side_view(dossier, entries, 0, at, width, hangs)
    at += high + 8
    face, other = faces(dossier, entries, 0, at, width)
    at += other + 4
    rows, high = entry_rows(dossier, entries, 0, at, width)
    return Block(title, at + high, (*shapes, *side, *face, *rows))
