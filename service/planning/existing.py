"""Trays that hang already: checked against the closure before anything is planned into them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from service.domain.catalogue import Catalogue
from service.domain.faults import Fault
from service.domain.request import ExistingBank, ExistingTray, PlanRequest


def existing_faults(request: PlanRequest, catalogue: Catalogue) -> Iterator[Fault]:
    """What is wrong with the hanging trays of a request: they need one closure, which takes them as described."""
    if not request.existing_trays:
        return
    if len(request.closures) != 1:
        yield Fault("/closures", "one_closure", "trays that hang already are in one closure: name it, and only it")
        return
    closure = catalogue.closures.get(request.closures[0])
    if closure is None:
        return
    most = {allowance.tray: allowance.most for allowance in closure.trays}
    hanging: Counter[str] = Counter()
    height = 0.0
    for place, tray in enumerate(request.existing_trays):
        pointer = f"/existing_trays/{place}"
        if tray.tray not in most or tray.tray not in catalogue.trays:
            yield Fault(f"{pointer}/tray", "unknown_code", f"closure {closure.code} takes no tray {tray.tray!r}")
            continue
        hanging[tray.tray] += 1
        height += catalogue.trays[tray.tray].pitch_mm
        if hanging[tray.tray] > most[tray.tray]:
            yield Fault(
                f"{pointer}/tray", "too_many", f"closure {closure.code} takes {most[tray.tray]} of {tray.tray} at most"
            )
        yield from _bank_faults(pointer, tray, catalogue)
    if height > closure.stack_mm:
        yield Fault(
            "/existing_trays",
            "too_high",
            f"these trays need {height:g} mm and the stack is {closure.stack_mm:g} mm high",
        )


def _taken_faults(pointer: str, bank: ExistingBank, slots: int) -> Iterator[Fault]:
    """The slots that are taken: in the bank, each once, as many as are used."""
    if not bank.taken:
        return
    if any(not 1 <= first <= last <= slots for first, last in bank.taken):
        yield Fault(pointer, "outside", f"bank {bank.bank} has slots 1 to {slots} of {bank.slot_kind}")
        return
    named = sum(last - first + 1 for first, last in bank.taken)
    if named != len(bank.slots_taken):
        yield Fault(pointer, "duplicate", "a slot is named twice")
    elif named != bank.used:
        yield Fault(pointer, "unequal", f"{named} slots are named and {bank.used} are used")


def _bank_faults(pointer: str, tray: ExistingTray, catalogue: Catalogue) -> Iterator[Fault]:
    model = catalogue.trays[tray.tray]
    banks = model.single_banks()
    seen: set[int] = set()
    for place, bank in enumerate(tray.banks):
        at = f"{pointer}/banks/{place}"
        if bank.bank > len(banks):
            yield Fault(f"{at}/bank", "outside", f"tray {model.code} has {len(banks)} banks")
        elif bank.bank in seen:
            yield Fault(f"{at}/bank", "duplicate", f"bank {bank.bank} is described twice")
        elif (slots := banks[bank.bank - 1].get(bank.slot_kind, 0)) == 0:
            yield Fault(
                f"{at}/slot_kind", "unknown_code", f"bank {bank.bank} of {model.code} gives no {bank.slot_kind!r} slots"
            )
        elif bank.used > slots:
            yield Fault(f"{at}/used", "range", f"bank {bank.bank} gives {slots} slots of {bank.slot_kind}")
        else:
            yield from _taken_faults(f"{at}/taken", bank, slots)
        seen.add(bank.bank)
    if model.storage_mm2 is not None and tray.storage_used_mm2 > model.storage_mm2:
        yield Fault(f"{pointer}/storage_used_mm2", "range", f"the channel of {model.code} is {model.storage_mm2:g} mm²")
    if model.entry_ribbons_max is not None and tray.ribbons > model.entry_ribbons_max:
        yield Fault(f"{pointer}/ribbons", "range", f"{model.code} lets {model.entry_ribbons_max} ribbons enter")
