"""The colours in their order, each with number and name."""

from __future__ import annotations

from service.sheets.drawing.fills import square
from service.sheets.drawing.shapes import Block, Shape, Text
from service.sheets.drawing.words import SIZE, sentence_rows
from service.standards.colours import ORDER

_TITLE = "Colours of fibres, tubes and ribbons, in their order"
_TRACERS = (
    "From 13 on the same colours again with one tracer, from 25 on with two: a black stripe, on black a yellow one. "
    "The fibres of a ribbon lie in this order, 1 at one edge and 12 at the other."
)


def legend_block(width: float) -> Block:
    """Twelve squares with number and name."""
    shapes, at = sentence_rows(_TITLE, 0, 0, width, 14, True)
    columns = 6 if width >= 560 else 3
    step = width / columns
    for place, name in enumerate(ORDER):
        x, y = step * (place % columns), at + 4 + 20 * (place // columns)
        row: list[Shape] = [*square(x, y, place + 1), Text(x + 18, y + 11, f"{place + 1} {name}", size=SIZE)]
        shapes += row
    at += 4 + 20 * -(-len(ORDER) // columns)
    row, high = sentence_rows(_TRACERS, 0, at, width)
    return Block(_TITLE, at + high, (*shapes, *row))
