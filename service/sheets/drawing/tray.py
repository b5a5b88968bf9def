"""One tray as it lies open: what it is, its banks, its storage, and the ends that are parked in it."""

from __future__ import annotations

from collections.abc import Mapping

from service.domain.dossier import Dossier
from service.domain.plan import ParkedEnds, PlannedTray
from service.sheets.drawing.bank import bank_shapes
from service.sheets.drawing.ends import tube_words
from service.sheets.drawing.letters import width_of
from service.sheets.drawing.shapes import GREY, WHITE, Block, Box, Shape, Text
from service.sheets.drawing.slots import BankSlots, Place
from service.sheets.drawing.words import SIZE, STEP, Words, in_rows, sentence_rows
from service.sheets.layout import counted, number

_PAD = 9


def tray_block(
    dossier: Dossier, tray: PlannedTray, slots: Mapping[Place, BankSlots], width: float, hangs: bool
) -> Block:
    """The tray as a block of a width; ``hangs``: the closure was there before, so what is new is marked."""
    model = dossier.tray(tray.tray)
    title = f"Tray {tray.position} of {len(dossier.plan.trays)}: {tray.tray}"
    inner = width - 2 * _PAD
    shapes, high = sentence_rows(title, _PAD, 6, inner, 15, True)
    at = 6 + high
    if model is not None and model.title:
        row, high = sentence_rows(model.title, _PAD, at, inner)
        shapes, at = shapes + row, at + high
    row, high = in_rows(_facts(tray, hangs), _PAD, at, inner)
    shapes, at = shapes + row, at + high
    row, high = _storage(tray, _PAD, at, inner)
    shapes, at = shapes + row, at + high
    before = [(ends, "parked before:") for ends in dossier.parked_in(tray.position)]
    for ends, when in (*before, *((ends, "parked:") for ends in tray.parked)):
        row, high = in_rows(_parked(dossier, ends, when), _PAD, at, inner)
        shapes, at = shapes + row, at + high
    for bank in tray.banks:
        at += 5
        row, high = bank_shapes(dossier, bank, slots.get((tray.position, bank.bank)), _PAD, at, inner, hangs)
        shapes, at = shapes + row, at + high
    high = at + _PAD
    frame = Box(1, 1, width - 2, high - 2, WHITE, 3 if hangs and tray.new else 1.5, corner=14)
    return Block(f"{title}{', new' if hangs and tray.new else ''}", high, (frame, *shapes))


def _facts(tray: PlannedTray, hangs: bool) -> list[Words]:
    facts = []
    if hangs:
        facts.append(Words("new tray", bold=True) if tray.new else Words("hangs already"))
    if tray.keep_apart is not None:
        facts.append(Words(f"kept apart for: {tray.keep_apart}", bold=True))
    if not tray.splices:
        facts.append(Words("nothing is spliced into it now"))
    if tray.stored_turns:
        facts.append(Words(f"{counted(tray.stored_turns, 'turn')} stored, both sides together"))
    return facts


def _storage(tray: PlannedTray, x: float, y: float, width: float) -> tuple[list[Shape], float]:
    """A bar as full as the storage channel, with the figures beside it."""
    used = number(tray.storage_used_mm2)
    if not tray.storage_mm2:
        return sentence_rows(f"storage channel: {used} mm² taken", x, y, width)
    label = f"storage channel: {used} of {number(tray.storage_mm2)} mm²"
    beside = width_of(label, SIZE) + 10
    bar = min(width - beside, 160)
    share = min(tray.storage_used_mm2 / tray.storage_mm2, 1)
    return [
        Text(x, y + 12.5, label, size=SIZE),
        Box(x + beside, y + 2, bar, 12, WHITE),
        Box(x + beside, y + 2, bar * share, 12, GREY, 1),
    ], STEP


def _parked(dossier: Dossier, ends: ParkedEnds, when: str) -> list[Words]:
    kinds = [counted(ends.ribbons, "ribbon")] if ends.ribbons else []
    kinds += [counted(ends.fibres, "loose fibre")] if ends.fibres else []
    tube = tube_words(ends.tube) if dossier.cable(ends.cable) is not None else Words(f"tube {ends.tube}")
    return [Words(when, bold=True), Words(f"{' and '.join(kinds)} of {ends.cable},"), tube]
