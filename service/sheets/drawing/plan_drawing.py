"""The drawing of a plan: verdict, closure with its ports and stack, colours, every tray with its slots, cautions.

Two layouts of the same parts. ``phone`` is one narrow column whose smallest text is 11 px on a screen 360 px wide;
``paper`` is as wide as an A4 page between its margins, and no part of it runs over the end of a page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from service.domain.dossier import Dossier
from service.sheets.drawing.closure import closure_block
from service.sheets.drawing.head import head_block, listed_block, title_of, verdict_of
from service.sheets.drawing.legend import legend_block
from service.sheets.drawing.shapes import Block, Picture, Placed
from service.sheets.drawing.slots import slots_of
from service.sheets.drawing.svg import svg
from service.sheets.drawing.tray import tray_block

Layout = Literal["phone", "paper"]

_WIDTH = {"phone": 380, "paper": 718}
_MARGIN = 10
_GAP = 14
PAGE = 277 / 25.4 * 96
"""The height of an A4 page between margins of 10 mm, in CSS pixels (277 mm at 96 to the inch)."""


def plan_svg(dossier: Dossier, layout: Layout = "paper") -> bytes:
    """The drawing as SVG (UTF-8)."""
    return svg(plan_picture(dossier, layout))


def plan_picture(dossier: Dossier, layout: Layout = "paper") -> Picture:
    """The drawing as geometry, for whatever paints it."""
    width = _WIDTH[layout]
    blocks = list(_blocks(dossier, width - 2 * _MARGIN))
    parts, height = _stacked(blocks, PAGE if layout == "paper" else None)
    description = (
        f"{verdict_of(dossier)} The drawing says all in words too: colours have numbers and names beside them."
    )
    return Picture(width, height, f"Drawing: {title_of(dossier)}", description, tuple(parts))


def _blocks(dossier: Dossier, width: float) -> Iterator[Block]:
    plan = dossier.plan
    yield head_block(dossier, width)
    if plan.fits:
        hangs = bool(dossier.lying) or any(not tray.new for tray in plan.trays)
        yield closure_block(dossier, width, hangs)
        yield legend_block(width)
        slots = slots_of(dossier)
        for tray in sorted(plan.trays, key=lambda tray: tray.position):
            yield tray_block(dossier, tray, slots, width, hangs)
    else:
        yield listed_block("Why it does not fit", (reason.text for reason in plan.reasons), width)
        if plan.remedies:
            yield listed_block("What would make it fit", (remedy.text for remedy in plan.remedies), width)
    if plan.cautions:
        yield listed_block("Cautions", plan.cautions, width, framed=True)


def _stacked(blocks: Sequence[Block], page: float | None) -> tuple[list[Placed], float]:
    """Blocks below each other; one that would run over the end of a page begins the next, if a page can hold it."""
    parts = []
    at = float(_MARGIN)
    for block in blocks:
        if page is not None:
            left = page - at % page
            if left < block.height <= page - 2 * _MARGIN:
                at += left + _MARGIN
        parts.append(Placed(block, _MARGIN, at))
        at += block.height + _GAP
    return parts, at - _GAP + _MARGIN
