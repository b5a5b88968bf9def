"""What a picture is made of: text, lines, boxes and rounds, in units of a CSS pixel, y downwards.

It says what is where and knows no file format, so that more than one writer can paint it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Anchor = Literal["start", "middle", "end"]

BLACK, WHITE = "#000", "#fff"
GREY = "#555"
"""Text of what was there before: 7.5:1 on white, and still darker than a copier drops."""
LIGHT = "#ddd"
HATCHED = "hatched"
"""A fill of slanted lines in place of a colour."""


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text; ``x`` is its start, middle or end, ``y`` the line that it stands on."""

    x: float
    y: float
    words: str
    anchor: Anchor = "start"
    size: float = 13
    bold: bool = False
    colour: str = BLACK


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 1
    dashed: bool = False
    colour: str = BLACK


@dataclass(frozen=True, slots=True)
class Box:
    """A box; ``fill`` is a colour, ``"none"`` or ``HATCHED``, ``corner`` the radius of its corners."""

    x: float
    y: float
    width: float
    height: float
    fill: str
    stroke: float = 1
    dashed: bool = False
    corner: float = 0


@dataclass(frozen=True, slots=True)
class Round:
    """A circle."""

    x: float
    y: float
    radius: float
    fill: str
    stroke: float = 1
    dashed: bool = False


Shape = Text | Line | Box | Round


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a picture that belongs together and is not parted by the end of a page; its corner is at (0, 0).

    ``title`` is its name for those who have the picture read to them; without one it is no part of its own.
    """

    title: str
    height: float
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """A block and where its upper left corner lies in the picture."""

    block: Block
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Picture:
    """A whole picture, with title and description for those who have it read to them."""

    width: float
    height: float
    title: str
    description: str
    parts: tuple[Placed, ...]
