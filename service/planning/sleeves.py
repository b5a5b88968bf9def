"""Which sleeve a splice gets: the smallest class that takes its fibres, covers the bare length, and lies in a tray."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from service.domain.catalogue import Sleeve, Tray
from service.domain.plan import Reason
from service.planning.slack import exact


@dataclass(frozen=True, slots=True)
class SleeveChoice:
    """The sleeve, or the reason why there is none."""

    sleeve: Sleeve | None
    reason: Reason | None = None


def offers_slot(tray: Tray, slot_kind: str) -> bool:
    """Whether any bank of the tray can be set to a slot kind."""
    return any(bank.count > 0 and bank.slots.get(slot_kind, 0) > 0 for bank in tray.banks)


def tray_takes(tray: Tray, sleeve: Sleeve) -> bool:
    """Whether the tray has a slot for the sleeve that is long enough (a tray without a limit takes any length)."""
    limit = tray.sleeve_length_max_mm
    return offers_slot(tray, sleeve.slot_kind) and (limit is None or sleeve.length_mm <= limit)


def covering_length_mm(cleave_length_mm: float, overlap_mm: float) -> float:
    """Twice the cleave length, and the coating overlap at each end: the shortest sleeve that covers."""
    return float(2 * exact(cleave_length_mm) + 2 * exact(overlap_mm))


def choose_sleeve(
    form: Literal["ribbon", "single"],
    fibres: int,
    cleave_length_mm: float,
    overlap_mm: float,
    sleeves: Iterable[Sleeve],
    trays: Sequence[Tray],
) -> SleeveChoice:
    """The smallest class of sleeve that will do; of equals the cheapest a sleeve, then the shortest, then by code.

    Price decides only where every candidate of the class has one, all in one currency. Where none will do, the
    reason is the slot kind (no tray has a slot for a class that takes the fibres) or the sleeve's length.
    """
    need_mm = covering_length_mm(cleave_length_mm, overlap_mm)
    slotted = [s for s in sleeves if s.form == form and any(offers_slot(tray, s.slot_kind) for tray in trays)]
    taking = [s for s in slotted if s.fibres >= fibres]
    if not taking:
        return SleeveChoice(None, _no_class(form, fibres, max((s.fibres for s in slotted), default=0)))
    fitting = [s for s in taking if s.length_mm >= need_mm and any(tray_takes(tray, s) for tray in trays)]
    if not fitting:
        return SleeveChoice(None, _no_length(taking, need_mm, trays))
    smallest = min(s.fibres for s in fitting)
    return SleeveChoice(_cheapest([s for s in fitting if s.fibres == smallest]))


def _cheapest(sleeves: Sequence[Sleeve]) -> Sleeve:
    priced = all(s.price is not None for s in sleeves) and len({s.currency for s in sleeves}) == 1

    def rank(sleeve: Sleeve) -> tuple[Decimal, float, str]:
        each = sleeve.price / sleeve.pack_of if priced and sleeve.price is not None else Decimal(0)
        return each, sleeve.length_mm, sleeve.code

    return min(sleeves, key=rank)


def _no_class(form: str, fibres: int, largest: int) -> Reason:
    what = "a single fibre" if form == "single" else f"a ribbon of {fibres}"
    have = f"the largest class with a slot takes {largest}" if largest else "no such sleeve has a slot"
    return Reason("slot_kind", fibres, largest, "fibres", f"no tray has a slot for a sleeve that takes {what}; {have}")


def _no_length(taking: Sequence[Sleeve], need_mm: float, trays: Sequence[Tray]) -> Reason:
    covering = [s for s in taking if s.length_mm >= need_mm]
    if not covering:
        longest = max(s.length_mm for s in taking)
        text = f"bare length and overlap need a sleeve of {need_mm:g} mm; the longest with a slot has {longest:g} mm"
        return Reason("sleeve_length", need_mm, longest, "mm", text)
    shortest = min(covering, key=lambda s: (s.length_mm, s.code))
    room = max(
        tray.sleeve_length_max_mm
        for tray in trays
        if tray.sleeve_length_max_mm is not None and offers_slot(tray, shortest.slot_kind)
    )
    text = f"the shortest sleeve that covers {need_mm:g} mm has {shortest.length_mm:g} mm; the trays take {room:g} mm"
    return Reason("sleeve_length", shortest.length_mm, room, "mm", text)
