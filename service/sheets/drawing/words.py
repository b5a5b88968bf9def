"""Words in a row, some with the square of a colour before them, wrapped to a width."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.sheets.drawing.fills import SQUARE, square
from service.sheets.drawing.letters import width_of, wrapped
from service.sheets.drawing.shapes import BLACK, Shape, Text

SIZE = 12
"""Text of the drawing: 11 px and more on a phone 360 px wide."""
STEP = 17
"""From one line of text to the next."""
_GAP = 9
_BESIDE = SQUARE + 4


@dataclass(frozen=True, slots=True)
class Words:
    """Words that stay together where they can; ``position`` is that of the colour whose square goes before them."""

    words: str
    position: int | None = None
    bold: bool = False


def width_in_row(piece: Words) -> float:
    """The width of a piece with its square."""
    return (0 if piece.position is None else _BESIDE) + width_of(piece.words, SIZE, piece.bold)


def columns_of(rows: Sequence[Sequence[Words]], room: float) -> list[float]:
    """Widths for the first two pieces of rows that are to stand in columns; fewer where the rows need the room."""
    widest = [max(map(width_in_row, column)) for column in zip(*rows, strict=False)]
    whole = sum(widest) + _GAP * (len(widest) - 1)
    return widest[:2] if whole <= room else []


def in_rows(
    pieces: Sequence[Words], x: float, y: float, width: float, colour: str = BLACK, columns: Sequence[float] = ()
) -> tuple[list[Shape], float]:
    """The pieces from the upper left corner ``x``, ``y``, as many in a line as fit; and the height they take.

    ``columns`` are the least widths of the first pieces, so that rows below each other stand in columns.
    """
    shapes: list[Shape] = []
    at, line = 0.0, 0
    for place, piece in enumerate(pieces):
        least = columns[place] if place < len(columns) else 0
        beside = 0 if piece.position is None else _BESIDE
        whole = width_in_row(piece)
        if at and at + whole > width:
            at, line = 0.0, line + 1
        if piece.position is not None:
            shapes += square(x + at, y + STEP * line + 2, piece.position)
        if at + whole <= width:
            shapes.append(Text(x + at + beside, y + STEP * line + 12.5, piece.words, "start", SIZE, piece.bold, colour))
            at += max(whole, least) + _GAP
            continue
        broken = wrapped(piece.words, width - beside, SIZE, piece.bold)
        for number, words in enumerate(broken):
            base = y + STEP * (line + number) + 12.5
            shapes.append(Text(x + beside, base, words, "start", SIZE, piece.bold, colour))
        line += len(broken) - 1
        at = beside + width_of(broken[-1], SIZE, piece.bold) + _GAP
    return shapes, STEP * (line + 1)


def sentence_rows(
    words: str,
    x: float,
    y: float,
    width: float,
    size: float = SIZE,
    bold: bool = False,
) -> tuple[list[Shape], float]:
    """A text wrapped to a width, and the height it takes."""
    step = STEP * size / SIZE
    lines = wrapped(words, width, size, bold)
    shapes: list[Shape] = [
        Text(x, y + step * number + size + 0.5, line, "start", size, bold) for number, line in enumerate(lines)
    ]
    return shapes, step * len(lines)
