"""A picture as SVG, with presentation attributes alone: no script, no style, nothing from elsewhere.

The root is a document of graphics (WAI-ARIA Graphics Module), not a mere image, so that its text is read out.
"""

from __future__ import annotations

from xml.sax.saxutils import escape

from service.sheets.drawing.shapes import BLACK, HATCHED, Box, Line, Picture, Placed, Round, Text
from service.sheets.safe_text import plain_text

_FONT = "Arial, Helvetica, Roboto, 'Liberation Sans', sans-serif"
_SIZE = 12
"""The size of text that names none."""
_DASHES = ' stroke-dasharray="4 3"'
_HATCHING = (
    '<defs><pattern id="hatched" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff" stroke="none"/><path d="M0 0V6" stroke-width="2"/></pattern></defs>'
)


def svg(picture: Picture) -> bytes:
    """The picture as an SVG document (UTF-8)."""
    wide, high = _n(picture.width), _n(picture.height)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}" height="{high}" '
        f'role="graphics-document document" aria-labelledby="title" aria-describedby="desc" font-family="{_FONT}" '
        f'font-size="{_SIZE}" stroke="{BLACK}">',
        f'<title id="title">{_words(picture.title)}</title>',
        f'<desc id="desc">{_words(picture.description)}</desc>',
        _HATCHING,
        f'<rect width="{wide}" height="{high}" fill="#fff" stroke="none"/>',
    ]
    for part in picture.parts:
        lines += _part(part)
    return "\n".join([*lines, "</svg>\n"]).encode()


def _part(part: Placed) -> list[str]:
    block = part.block
    move = f' transform="translate({_n(part.x)} {_n(part.y)})"' if part.x or part.y else ""
    title = f"<title>{_words(block.title)}</title>" if block.title else ""
    role = ' role="group"' if title else ""
    # Text last: it lies over everything anyway, and one group says for all of it that letters have no outline.
    drawn = [_drawn(shape) for shape in block.shapes if not isinstance(shape, Text)]
    words = [_text(shape) for shape in block.shapes if isinstance(shape, Text)]
    return [f"<g{role}{move}>{title}", *drawn, '<g stroke="none">', *words, "</g>", "</g>"]


def _drawn(shape: Line | Box | Round) -> str:
    dashes = _DASHES if shape.dashed else ""
    if isinstance(shape, Line):
        colour = "" if shape.colour == BLACK else f' stroke="{shape.colour}"'
        thick = "" if shape.width == 1 else f' stroke-width="{_n(shape.width)}"'
        return f'<path d="M{_n(shape.x1)} {_n(shape.y1)}{_towards(shape)}"{colour}{thick}{dashes}/>'
    width = ' stroke="none"' if not shape.stroke else f' stroke-width="{_n(shape.stroke)}"'
    stroke = "" if shape.stroke == 1 else width
    fill = "url(#hatched)" if shape.fill == HATCHED else shape.fill
    if isinstance(shape, Round):
        place = f'<circle cx="{_n(shape.x)}" cy="{_n(shape.y)}" r="{_n(shape.radius)}"'
    else:
        place = _rect(shape)
    return f'{place} fill="{fill}"{stroke}{dashes}/>'


def _towards(line: Line) -> str:
    if line.x1 == line.x2:
        return f"V{_n(line.y2)}"
    return f"H{_n(line.x2)}" if line.y1 == line.y2 else f"L{_n(line.x2)} {_n(line.y2)}"


def _rect(box: Box) -> str:
    corner = f' rx="{_n(box.corner)}"' if box.corner else ""
    return f'<rect x="{_n(box.x)}" y="{_n(box.y)}" width="{_n(box.width)}" height="{_n(box.height)}"{corner}'


def _text(text: Text) -> str:
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    size = "" if text.size == _SIZE else f' font-size="{_n(text.size)}"'
    weight = ' font-weight="bold"' if text.bold else ""
    colour = "" if text.colour == BLACK else f' fill="{text.colour}"'
    place = f'x="{_n(text.x)}" y="{_n(text.y)}"'
    return f"<text {place}{anchor}{size}{weight}{colour}>{_words(text.words)}</text>"


def _words(words: str) -> str:
    return escape(plain_text(words))


def _n(number: float) -> str:
    """A coordinate with one decimal at most."""
    return f"{number:.1f}".removesuffix(".0")
