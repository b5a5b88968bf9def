"""Pieces of an SVG drawing: text, lines and boxes in black on white, so that a copier keeps them."""

from __future__ import annotations

from textwrap import wrap
from typing import Literal
from xml.sax.saxutils import escape

from service.sheets.safe_text import plain_text

Anchor = Literal["start", "middle", "end"]


def text(x: float, y: float, words: str, anchor: Anchor = "start", size: int = 13, bold: bool = False) -> str:
    """A line of text; ``x`` is its start, middle or end, ``y`` the line that it stands on."""
    weight = ' font-weight="bold"' if bold else ""
    words = escape(plain_text(words))
    return f'<text x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}" font-size="{size}"{weight}>{words}</text>'


def line(x1: float, y1: float, x2: float, y2: float, width: float = 1, dashed: bool = False) -> str:
    """A straight line."""
    dashes = ' stroke-dasharray="5 4"' if dashed else ""
    return f'<path d="M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}" stroke="#000" stroke-width="{_n(width)}"{dashes}/>'


def box(x: float, y: float, width: float, height: float, fill: str, stroke: float = 1, dashed: bool = False) -> str:
    """A box; ``fill`` is a colour or ``url(#pattern)``."""
    dashes = ' stroke-dasharray="5 4"' if dashed else ""
    return (
        f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}" fill="{fill}" stroke="#000" '
        f'stroke-width="{_n(stroke)}"{dashes}/>'
    )


def drawing(width: int, height: float, title: str, description: str, parts: list[str]) -> bytes:
    """A whole drawing with a title and a description for those who have it read to them; patterns: ``hatched``."""
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {_n(height)}" width="{width}" '
            f'height="{_n(height)}" role="img" aria-labelledby="title desc" font-family="sans-serif">',
            f'<title id="title">{escape(plain_text(title))}</title>',
            f'<desc id="desc">{escape(plain_text(description))}</desc>',
            '<defs><pattern id="hatched" width="6" height="6" patternUnits="userSpaceOnUse" '
            'patternTransform="rotate(45)"><rect width="6" height="6" fill="#fff"/>'
            '<path d="M0 0V6" stroke="#000" stroke-width="2"/></pattern></defs>',
            f'<rect width="{width}" height="{_n(height)}" fill="#fff"/>',
            *parts,
            "</svg>\n",
        ]
    ).encode()


def wrapped(words: str, letters: int) -> list[str]:
    """Words in lines of at most so many letters; a longer word is broken."""
    return wrap(plain_text(words), letters, break_on_hyphens=False) or [""]


def _n(number: float) -> str:
    """A coordinate with one decimal at most."""
    return f"{number:.1f}".removesuffix(".0")
