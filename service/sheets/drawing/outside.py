"""The closure from its side: its body with the stack of trays, and a stub for every cable that enters."""

from __future__ import annotations

from collections.abc import Sequence

from service.domain.dossier import Dossier
from service.domain.plan import PlannedTray
from service.sheets.drawing.entries import Entry, closure_of
from service.sheets.drawing.letters import cut
from service.sheets.drawing.shapes import LIGHT, WHITE, Box, Shape, Text
from service.sheets.drawing.words import SIZE
from service.sheets.layout import counted, number

_LEAST = 19
"""The height that a line of text in the stack needs; thin trays are drawn thicker than they are."""
_SCALE = 1.1
_STUB = 30


def side_view(
    dossier: Dossier, entries: Sequence[Entry], x: float, y: float, width: float, hangs: bool
) -> tuple[list[Shape], float]:
    """The body with its stack, tray 1 lowest; a dome's cables come out below, an inline closure's at its ends."""
    closure = closure_of(dossier)
    inline = closure is not None and closure.form == "inline"
    stubs = [(entry, tag) for entry in entries for tag in entry.cables]
    body_x, body = (x + 44, width - 88) if inline else (x + 14, width - 28)
    top = 8 if inline else 26
    stack, high = _stack(dossier, body_x + 14, y + top, body - 28, hangs)
    high += top + 8
    if inline:
        names = list(dict.fromkeys(entry.group for entry in entries))
        left = set(names[: -(-len(names) // 2)])
        sides = [[stub for stub in stubs if (stub[0].group in left) is here] for here in (True, False)]
        high = max(high, 24 * max(map(len, sides)) + 8)
        shapes: list[Shape] = []
        for place, (side, stub_x) in enumerate(zip(sides, (x, body_x + body), strict=True)):
            shapes += _stubs_beside(dossier, side, stub_x, y, high, at_left=place == 0)
        return [*shapes, Box(body_x, y, body, high, WHITE, 2, corner=16), *stack], high
    base = y + high
    below = _stubs_below(dossier, stubs, body_x, base + 14, body)
    return [
        *below,
        Box(body_x, y, body, high + 10, WHITE, 2, corner=24),
        Box(x, base, width, 14, LIGHT, 2, corner=3),
        *stack,
    ], high + 14 + _STUB + 18


def _stack(dossier: Dossier, x: float, y: float, width: float, hangs: bool) -> tuple[list[Shape], float]:
    """Slabs as high as the trays' pitches, the room above them dashed."""
    closure = closure_of(dossier)
    trays = sorted(dossier.plan.trays, key=lambda tray: tray.position, reverse=True)
    pitches = [model.pitch_mm if (model := dossier.tray(tray.tray)) else 0.0 for tray in trays]
    left = max(closure.stack_mm - sum(pitches), 0) if closure else 0
    shapes: list[Shape] = []
    at = y
    if closure is not None:
        high = max(left * _SCALE, _LEAST)
        words = f"{number(left)} of {number(closure.stack_mm)} mm left" if left else "no height left"
        shapes += _slab(x, at, width, high, words, dashed=True)
        at += high
    for tray, pitch in zip(trays, pitches, strict=True):
        high = max(pitch * _SCALE, _LEAST)
        bold = hangs and tray.new
        shapes += _slab(x, at, width, high, _tray_words(tray, hangs), bold=bold)
        at += high
    return shapes, at - y


def _tray_words(tray: PlannedTray, hangs: bool) -> str:
    slots, used = sum(bank.slots for bank in tray.banks), sum(bank.used for bank in tray.banks)
    state = ("; new" if tray.new else "; hangs already") if hangs else ""
    filled = f"{used} of {counted(slots, 'slot')}" if slots else "no bank set"
    return f"{tray.position} {tray.tray}{state}: {filled}"


def _slab(
    x: float, y: float, width: float, high: float, words: str, dashed: bool = False, bold: bool = False
) -> list[Shape]:
    return [
        Box(x, y, width, high, WHITE, 2 if bold else 1, dashed, 2),
        Text(x + 7, y + high / 2 + 4.3, cut(words, width - 14, SIZE, bold), size=SIZE, bold=bold),
    ]


def _thick(dossier: Dossier, tag: str) -> float:
    cable = dossier.cable(tag)
    return min(max(cable.od_mm * 0.6, 3), 15) if cable else 6


def _stubs_below(dossier: Dossier, stubs: Sequence[tuple[Entry, str]], x: float, y: float, width: float) -> list[Shape]:
    """A stub for every cable end, with the number of its port under it."""
    most = int(width // 22)
    shapes: list[Shape] = []
    step = width / (min(len(stubs), most) or 1)
    for place, (entry, tag) in enumerate(stubs[:most]):
        thick, middle = _thick(dossier, tag), x + step * (place + 0.5)
        shapes.append(Box(middle - thick / 2, y - 2, thick, _STUB, LIGHT, 1.5))
        words = cut(f"{entry.number}: {tag}", step - 6, SIZE)
        label = words if ":" in words and not words.endswith(": ...") else str(entry.number)
        shapes.append(Text(middle, y + _STUB + 12, label, "middle", SIZE))
    return shapes


def _stubs_beside(
    dossier: Dossier, stubs: Sequence[tuple[Entry, str]], x: float, y: float, high: float, at_left: bool
) -> list[Shape]:
    step = high / (len(stubs) or 1)
    shapes: list[Shape] = []
    for place, (entry, tag) in enumerate(stubs):
        thick, middle = _thick(dossier, tag), y + step * (place + 0.5)
        stub_x = x + 20 if at_left else x
        shapes.append(Box(stub_x, middle - thick / 2, 24, thick, LIGHT, 1.5))
        label_x = x + 16 if at_left else x + 28
        shapes.append(Text(label_x, middle + 4.3, str(entry.number), "end" if at_left else "start", SIZE, True))
    return shapes
