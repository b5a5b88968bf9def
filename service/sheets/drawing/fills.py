"""How fibre and tube colours are painted: a square with a thick border, tracers as stripes.

The tints were chosen so that neighbours of the order differ in lightness too; since brown and red are still all but
equal to some eyes, and all to a copier, number and name always stand beside the square.
"""

from __future__ import annotations

from service.sheets.drawing.shapes import BLACK, Box, Line, Shape
from service.standards.colours import colour

FILLS = {
    "blue": "#1f5fd0",
    "orange": "#ff8a1c",
    "green": "#1f9d45",
    "brown": "#7a4a21",
    "slate": "#8b97a3",
    "white": "#ffffff",
    "red": "#d8232a",
    "black": "#111111",
    "yellow": "#ffe02e",
    "violet": "#8b3fc4",
    "rose": "#ff8ab8",
    "aqua": "#6ee6ea",
}
"""The tint of each colour."""
SQUARE = 13
"""The side of a square, border included."""
_TRACERS = {"black": BLACK, "yellow": FILLS["yellow"]}
_STRIPES_MOST = 3
"""Stripes that a square has room for; the words beside it tell how many there are."""


def square(x: float, y: float, position: int) -> list[Shape]:
    """The square of a colour's position (from 1), its upper left corner at ``x``, ``y``."""
    of = colour(position)
    shapes: list[Shape] = [Box(x + 1, y + 1, SQUARE - 2, SQUARE - 2, FILLS[of.name], 2)]
    stripes = min(of.tracers, _STRIPES_MOST)
    for place in range(stripes):
        middle = x + SQUARE * (place + 1) / (stripes + 1)
        shapes.append(Line(middle, y + 2, middle, y + SQUARE - 2, 2, colour=_TRACERS[of.tracer_colour or "black"]))
    return shapes
