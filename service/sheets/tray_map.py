"""What lies in each slot of a tray, neighbouring splices folded into runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.domain.catalogue import Cable
from service.domain.plan import BankUse, ParkedEnds, PlacedSplice, PlannedTray
from service.domain.splices import RibbonEnd
from service.sheets.layout import columns, counted, number, paragraph
from service.standards.colours import colour

Cables = Mapping[str, Cable]
"""The cables at the splice point by tag; one that is missing is named by numbers alone."""


_ROOM = 58
"""Room for what lies in a run of slots, beside bank and slots; longer texts break before the arrow."""


@dataclass(frozen=True, slots=True)
class Run:
    """Splices side by side in one bank whose ends count up together on both sides, first and last of them."""

    first: PlacedSplice
    last: PlacedSplice

    @property
    def slots(self) -> str:
        """The slots it takes, ``3`` or ``1-6``."""
        return _span(self.first.slot, self.last.slot)


def runs(splices: Sequence[PlacedSplice], cables: Cables) -> Iterator[Run]:
    """Fold splices that stand in bank and slot order into runs; a run stays in one bank, bundle and pair of tubes."""
    first: PlacedSplice | None = None
    last: PlacedSplice | None = None
    for splice in splices:
        if first is not None and last is not None:
            if _follows(last, splice, cables):
                last = splice
                continue
            yield Run(first, last)
        first = last = splice
    if first is not None and last is not None:
        yield Run(first, last)


def _follows(before: PlacedSplice, after: PlacedSplice, cables: Cables) -> bool:
    return (
        (after.bank, after.slot) == (before.bank, before.slot + 1)
        and (after.sleeve, after.fibres, after.bundle) == (before.sleeve, before.fibres, before.bundle)
        and _next_end(before.from_, after.from_, cables)
        and _next_end(before.to, after.to, cables)
    )


def _next_end(before: RibbonEnd, after: RibbonEnd, cables: Cables) -> bool:
    if (before.cable, before.end) != (after.cable, after.end) or _tube(before, cables) != _tube(after, cables):
        return False
    if before.fibre is not None or after.fibre is not None:
        return before.fibre is not None and after.fibre == before.fibre + 1
    if before.half is not None or after.half is not None:
        one, other = (2 * end.ribbon + (end.half or 0) for end in (before, after))
        return before.half is not None and after.half is not None and other == one + 1
    return after.ribbon == before.ribbon + 1


def _tube(end: RibbonEnd, cables: Cables) -> int | None:
    cable = cables.get(end.cable)
    return cable.tube_of_ribbon(end.ribbon) if cable else None


def _span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}-{last}"


def side_text(first: RibbonEnd, last: RibbonEnd, cables: Cables) -> str:
    """One side of a run with its tube and colours: ``A ribbons 1-6, tube 1 (blue)``."""
    many = "" if first == last else "s"
    tag = f"{first.cable} (outgoing)" if first.end == "out" else first.cable
    cable = cables.get(first.cable)
    if first.fibre is not None and last.fibre is not None:
        text = f"{tag} fibre{many} {_span(first.fibre, last.fibre)}"
        if cable is not None:
            text += f" ({_fibre_colours(first.fibre, last.fibre, cable)})"
    elif first.half is not None:
        text = f"{tag} {_halves(first, last)}"
    else:
        text = f"{tag} ribbon{many} {_span(first.ribbon, last.ribbon)}"
    if cable is None:
        return text
    tube = cable.tube_of_ribbon(first.ribbon)
    return f"{text}, tube {tube} ({colour(tube).text})"


def _halves(first: RibbonEnd, last: RibbonEnd) -> str:
    """Twelves of 24-fibre ribbons; ``a`` is the first twelve, ``b`` the second, unnamed where both are there."""
    if first == last:
        return f"ribbon {first.ribbon}{'ab'[(first.half or 1) - 1]}"
    whole = first.half == 1 and last.half == 2
    if whole:
        return f"ribbon{'' if first.ribbon == last.ribbon else 's'} {_span(first.ribbon, last.ribbon)} as twelves"
    return f"twelves {first.ribbon}{'ab'[(first.half or 1) - 1]}-{last.ribbon}{'ab'[(last.half or 1) - 1]}"


def _fibre_colours(first: int, last: int, cable: Cable) -> str:
    """The colours of a run of fibres, by their place in the ribbon or tube that they lie in."""
    one, other = (colour((fibre - 1) % cable.ribbon_fibres + 1).text for fibre in (first, last))
    return one if first == last else f"{one} to {other}"


def tray_lines(tray: PlannedTray, title: str, cables: Cables) -> list[str]:
    """One tray: its head, its banks with what lies in their slots and which are free, and parked ends."""
    used = sum(bank.used for bank in tray.banks)
    slots = sum(bank.slots for bank in tray.banks)
    head = f"{tray.position}  {tray.tray}, {title}" if title else f"{tray.position}  {tray.tray}"
    lines = paragraph(head if tray.new else f"{head}; hangs already", 2, 3)
    facts = [f"{used} of {counted(slots, 'slot')} taken"]
    if tray.stored_turns:
        facts.append(f"{counted(tray.stored_turns, 'turn')} stored, both sides together")
    channel = f"storage channel {number(tray.storage_used_mm2)}"
    facts.append(f"{channel} mm²" if tray.storage_mm2 is None else f"{channel} of {number(tray.storage_mm2)} mm²")
    if tray.keep_apart is not None:
        facts.append(f"kept apart for {tray.keep_apart}")
    lines += paragraph("; ".join(facts), 5)
    rows: list[Sequence[str]] = []
    for bank in tray.banks:
        rows.extend(_bank_rows(bank, [splice for splice in tray.splices if splice.bank == bank.bank], cables))
    lines += columns(rows, indent=5)
    for ends in tray.parked:
        lines += paragraph(_parked(ends, cables), 5, 2)
    return lines


def _bank_rows(bank: BankUse, splices: Sequence[PlacedSplice], cables: Cables) -> Iterator[Sequence[str]]:
    """The rows of one bank: bank and slot kind, slots, what lies there."""
    label = f"bank {bank.bank} {bank.slot_kind or ''}".rstrip()
    if bank.slot_kind is None:
        yield label, "", "not set; takes any kind it offers"
        return
    ordered = sorted(splices, key=lambda splice: splice.slot)
    taken = {splice.slot for splice in ordered}
    before = [slot for slot in range(1, bank.used + 1) if slot not in taken]
    for first, last in _stretches(before):
        yield label, _span(first, last), "taken by work that is there or by parked ends"
        label = ""
    for run in runs(ordered, cables):
        from_ = side_text(run.first.from_, run.last.from_, cables)
        to = side_text(run.first.to, run.last.to, cables)
        on_one_line = len(from_) + len(to) + 6 <= _ROOM
        yield label, run.slots, f"{from_}  ->  {to}" if on_one_line else f"{from_}\n  ->  {to}"
        label = ""
    if bank.used < bank.slots:
        yield label, _span(bank.used + 1, bank.slots), "free"


def _stretches(slots: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Unbroken stretches of ascending numbers, first and last of each."""
    start = 0
    for place in range(1, len(slots) + 1):
        if place == len(slots) or slots[place] != slots[place - 1] + 1:
            yield slots[start], slots[place - 1]
            start = place


def _parked(ends: ParkedEnds, cables: Cables) -> str:
    kinds = [counted(ends.ribbons, "ribbon")] if ends.ribbons else []
    kinds += [counted(ends.fibres, "loose fibre")] if ends.fibres else []
    tube = f"tube {ends.tube} ({colour(ends.tube).text})" if ends.cable in cables else f"tube {ends.tube}"
    return f"parked: {' and '.join(kinds)} of {ends.cable}, {tube}"
