"""What lies in each tray keeps to its banks, slots, channel, entry and label."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from service.verifying.facts import Facts, Load
from service.verifying.laid import LaidTray
from service.verifying.report import Findings

_ROUNDED_UM2 = 50_000 + 2
"""Areas are written in mm² with one decimal; a share of what hung before was rounded up to a whole µm²."""


def check_banks(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """Banks give what their model gives of the kind that they are set to; a bank in use keeps its kind."""
    for tray in trays:
        model = facts.models[tray.model]
        found = {} if tray.found is None else facts.hanging[tray.found].banks
        for number, (bank, gives) in enumerate(zip(tray.banks, model.banks, strict=True), start=1):
            slots = 0 if bank.slot_kind is None else gives.get(bank.slot_kind, 0)
            if bank.slot_kind is not None and not slots:
                findings.breach(
                    f"{bank.pointer}/slot_kind", f"this bank of {tray.model} gives no {bank.slot_kind} slots"
                )
            findings.expect(bank.slots == slots, f"{bank.pointer}/slots", f"the bank gives {slots} slots")
            findings.expect(
                bank.used <= bank.slots, f"{bank.pointer}/used", f"{bank.used} slots used of {bank.slots} given"
            )
            if number in found:
                kind, used = found[number]
                findings.expect(
                    bank.slot_kind == kind, f"{bank.pointer}/slot_kind", f"the bank is in use for {kind} and keeps it"
                )
                findings.expect(bank.used >= used, f"{bank.pointer}/used", f"{used} slots were in use and stay in use")
    findings.checked.append(f"{sum(len(tray.banks) for tray in trays)} banks in {len(trays)} trays, by what each gives")


def check_slots(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """Each splice has a slot of its own, of its sleeve's kind; the slots in use are those that are counted."""
    parked = _by_place(facts)
    for tray in trays:
        before = {} if tray.found is None else facts.hanging[tray.found].banks
        seen: set[tuple[int, int]] = set()
        laid: Counter[int] = Counter()
        for splice in tray.splices:
            bank, kind = tray.banks[splice.bank - 1], facts.bundles[splice.bundle - 1].slot_kind
            findings.expect(
                bank.slot_kind == kind, f"{splice.pointer}/bank", f"the bank is set to {bank.slot_kind}, not {kind}"
            )
            first = before[splice.bank][1] + 1 if splice.bank in before else 1
            told = {} if tray.found is None else facts.hanging[tray.found].taken
            if splice.bank in told:
                findings.expect(
                    1 <= splice.slot <= bank.slots and splice.slot not in told[splice.bank],
                    f"{splice.pointer}/slot",
                    f"slots {sorted(told[splice.bank])} of {bank.slots} were in use and stay in use",
                )
            else:
                findings.expect(
                    first <= splice.slot <= bank.slots,
                    f"{splice.pointer}/slot",
                    f"the bank's free slots are {first} to {bank.slots}",
                )
            findings.expect(
                (splice.bank, splice.slot) not in seen, f"{splice.pointer}/slot", "another splice lies in this slot"
            )
            seen.add((splice.bank, splice.slot))
            laid[splice.bank] += 1
        untold: Counter[str] = Counter()
        for number, bank in enumerate(tray.banks, start=1):
            rest = bank.used - laid[number] - (before[number][1] if number in before else 0)
            findings.expect(rest >= 0, f"{bank.pointer}/used", "more splices lie in the bank than it counts as used")
            if bank.slot_kind is not None:
                untold[bank.slot_kind] += rest
        for ends in tray.parked:
            loads = parked.get((ends.cable, ends.tube, ends.of), [])
            if loads and loads[0].slot_kind is not None:
                untold[loads[0].slot_kind] -= ends.count
        for kind, rest in untold.items():
            findings.expect(
                rest == 0,
                f"{tray.pointer}/banks",
                f"the {kind} slots in use are {abs(rest)} {'more' if rest > 0 else 'fewer'} than what lies in them",
            )
    findings.checked.append("each splice in a slot of its own, of its sleeve's kind")


def check_limits(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """Channels and entries are not overfilled, nothing lies in a tray that may not hold it, and one label a tray."""
    parked = _by_place(facts)
    for tray in trays:
        model = facts.models[tray.model]
        found = None if tray.found is None else facts.hanging[tray.found]
        low = high = 0 if found is None else found.storage
        ribbons = 0 if found is None else found.ribbons
        label = None if found is None else found.label
        for splice in tray.splices:
            bundle = facts.bundles[splice.bundle - 1]
            share = bundle.shares[tray.model]
            findings.expect(share is not None, splice.pointer, f"this bundle may not lie in a tray {tray.model}")
            low, high = low + (share or 0), high + (share or 0)
            ribbons += bundle.ends
            if bundle.label is not None:
                findings.expect(
                    label is None or label == bundle.label,
                    f"{splice.pointer}/bundle",
                    f"{bundle.label} lies in one tray with {label}, and both are kept apart",
                )
                label = label or bundle.label
        for ends in tray.parked:
            loads = parked.get((ends.cable, ends.tube, ends.of), [])
            shares = [share for load in loads if (share := load.shares[tray.model]) is not None]
            findings.expect(bool(shares), ends.pointer, f"these ends may not lie in a tray {tray.model}")
            low += ends.count * min(shares, default=0)
            high += ends.count * max(shares, default=0)
            ribbons += ends.count * min((load.ends for load in loads), default=0)
        if tray.opened and model.storage is not None:
            findings.expect(
                low <= model.storage, f"{tray.pointer}/splices", f"{low} µm² of a channel of {model.storage} µm²"
            )
        if tray.opened and model.ribbons is not None:
            findings.expect(
                ribbons <= model.ribbons,
                f"{tray.pointer}/splices",
                f"{ribbons} ribbon ends enter and {model.ribbons} may",
            )
        findings.expect(tray.label == label, f"{tray.pointer}/keep_apart", f"the label in this tray is {label}")
        said = round(tray.storage_used_mm2 * 10**6)
        findings.expect(
            low - _ROUNDED_UM2 <= said <= high + _ROUNDED_UM2,
            f"{tray.pointer}/storage_used_mm2",
            f"what lies here takes {low / 10**6:g} mm²",
        )
        told = None if tray.storage_mm2 is None else round(tray.storage_mm2 * 10**6)
        findings.expect(
            (told is None) == (model.storage is None)
            and (told is None or model.storage is None or abs(told - model.storage) <= _ROUNDED_UM2),
            f"{tray.pointer}/storage_mm2",
            "is not the channel of the tray",
        )
    findings.checked.append("channels, ribbon entries, labels kept apart, and which tray may hold what")


def _by_place(facts: Facts) -> dict[tuple[str, int, str], list[Load]]:
    """Parked ends by tube: the two ends of an express cable stand under one place."""
    found: dict[tuple[str, int, str], list[Load]] = {}
    for load in facts.parked:
        found.setdefault(load.place, []).append(load)
    return found
