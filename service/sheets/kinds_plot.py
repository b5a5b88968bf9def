"""What few kinds of closure cost a build, as an SVG plot: a bar for each restriction, and a table with all figures.

A bar is what the restriction costs above each point in its own cheapest model. Where a restriction leaves points
without a closure there is no bar, since the totals stand for different points; the plot says how many points it is.
"""

from __future__ import annotations

from decimal import Decimal

from service.domain.closure_kinds import ClosureKinds, KindsRow
from service.sheets.drawing.letters import cut
from service.sheets.drawing.shapes import HATCHED, WHITE, Block, Box, Line, Picture, Placed, Shape, Text
from service.sheets.drawing.svg import svg
from service.sheets.kinds_amounts import OF_WHAT, amount_text, share_text
from service.sheets.kinds_table import table_of
from service.sheets.layout import counted

WIDTH = 760
_LEFT, _RIGHT, _TOP, _HIGH = 40, 720, 126, 190


def kinds_plot(kinds: ClosureKinds, name: str = "") -> bytes:
    """The plot as SVG (UTF-8), readable in black and white; ``name`` is the build's."""
    title = f"What few kinds of closure cost{f': {name}' if name else ''}"
    parts: list[Shape] = [Text(_LEFT, 32, cut(title, _RIGHT - _LEFT, 18, True), size=18, bold=True)]
    for number, words in enumerate(_facts(kinds)):
        parts.append(Text(_LEFT, 56 + 18 * number, words))
    if not kinds.rows:
        parts.append(Text(_LEFT, _TOP, "No closure model fits any of the points.", bold=True))
        return _whole(kinds, _TOP + 30, title, parts)
    parts += _bars(kinds)
    lines, height = table_of(kinds, _LEFT, _TOP + _HIGH + 88, _RIGHT)
    for number, words in enumerate(kinds.notes):
        lines.append(Text(_LEFT, height + 22 + 18 * number, words))
    height += 30 + 18 * len(kinds.notes)
    return _whole(kinds, height, title, [*parts, *lines])


def _whole(kinds: ClosureKinds, height: float, title: str, shapes: list[Shape]) -> bytes:
    block = Block("", height, tuple(shapes))
    return svg(Picture(WIDTH, height, title, _description(kinds), (Placed(block, 0, 0),)))


def _facts(kinds: ClosureKinds) -> list[str]:
    facts = [
        f"{kinds.points:,} splice points in {counted(kinds.classes, 'class', 'classes')} of equal ones. Compared: "
        f"{OF_WHAT[kinds.measure]}.",
        f"Each point in its own cheapest model: {counted(len(kinds.free.shares), 'model')}, "
        f"{amount_text(kinds, kinds.free.total)}.",
    ]
    if kinds.unfit:
        facts.append(f"{counted(kinds.unfit, 'point')} fit no model at all and are left out.")
    return facts


def _bars(kinds: ClosureKinds) -> list[Shape]:
    base = _TOP + _HIGH
    highest = max((row.above_best for row in kinds.rows if row.above_best is not None), default=Decimal(0))
    step = (_RIGHT - _LEFT) / len(kinds.rows)
    parts: list[Shape] = []
    for place, row in enumerate(kinds.rows):
        middle = _LEFT + step * (place + 0.5)
        wide = min(step * 0.56, 70)
        asked = kinds.chosen is not None and row.most == kinds.chosen.most
        parts += _bar(kinds, row, middle, wide, base, float(row.above_best or 0) / float(highest or 1) * (_HIGH - 50))
        parts.append(Text(middle, base + 20, str(row.most), "middle", 15, bold=asked))
        if asked:
            parts.append(Box(middle - 13, base + 4, 26, 22, "none", 2))
            parts.append(Text(middle, base + 40, "asked for", "middle", 12))
    parts.append(Line(_LEFT, base, _RIGHT, base, 1.5))
    parts.append(Text((_LEFT + _RIGHT) / 2, base + 60, "closure models at most", "middle"))
    return parts


def _bar(kinds: ClosureKinds, row: KindsRow, middle: float, wide: float, base: float, high: float) -> list[Shape]:
    if row.above_best is None:
        left_out = row.unserved - kinds.unfit
        words = [f"{left_out:,} point{'' if left_out == 1 else 's'}", "without", "a closure"]
        told = [Text(middle, base - 40 + 15 * number, each, "middle", 12) for number, each in enumerate(words)]
        return [Box(middle - wide * 0.8, base - 60, wide * 1.6, 60, WHITE, 1, dashed=True), *told]
    share = share_text(row.above_best, kinds.free.total)
    above = f"+{_shortened(kinds, row.above_best)}" if row.above_best else "nothing"
    parts: list[Shape] = [Text(middle, base - high - 22, above, "middle", 12, bold=True)]
    if row.above_best:
        parts.append(Text(middle, base - high - 7, f"+{share}", "middle", 12))
        parts.append(Box(middle - wide / 2, base - high, wide, high, HATCHED))
    if not row.optimal:
        parts.append(Text(middle, base - high - 37, "not proven", "middle", 12))
    return parts


def _shortened(kinds: ClosureKinds, amount: Decimal) -> str:
    """An amount that fits over a bar: whole units from a thousand on, no currency."""
    if kinds.measure in ("price", "closure_price"):
        return f"{amount:,.0f}" if amount >= 1000 else f"{amount:,.2f}"
    return amount_text(kinds, amount).rsplit(" ", 1)[0]


def _description(kinds: ClosureKinds) -> str:
    """All rows in words, for those who have the plot read to them."""
    told = []
    for row in kinds.rows:
        above = "" if row.above_best is None else f", {amount_text(kinds, row.above_best)} above the least"
        left_out = f", {counted(row.unserved, 'point')} without a closure" if row.unserved else ""
        proven = "" if row.optimal else ", not proven to be the least"
        total = amount_text(kinds, row.total)
        told.append(f"At most {row.most}: {total}{above}{left_out}{proven}; {', '.join(row.closures)}.")
    return " ".join([*_facts(kinds), *told])
