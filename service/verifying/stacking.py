"""The stack, the counts of each tray, the trays that can still be added, and the reserve."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from service.verifying.facts import Facts
from service.verifying.laid import LaidTray
from service.verifying.members import Malformed, Member
from service.verifying.report import Findings

_STATES = 50_000


def check_stack(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """All trays, and those that are to be added later, go into the stack, none more often than its most."""
    laid, later = Counter(tray.model for tray in trays), Counter(facts.later)
    for pointer, counts in (("/trays", laid), ("/certificate/later", laid + later)):
        height = sum(facts.models[code].pitch * count for code, count in counts.items())
        findings.expect(height <= facts.stack, pointer, f"the trays need {height} of a stack of {facts.stack}")
        for code, count in counts.items():
            most = facts.models[code].most
            findings.expect(count <= most, pointer, f"{count} trays {code}, of which the closure takes {most}")
    findings.expect(
        len(facts.later) >= facts.spare_trays,
        "/certificate/later",
        f"{facts.spare_trays} trays are to stay free and {len(facts.later)} can be added",
    )
    findings.checked.append(f"the stack and the most of each tray, with {len(facts.later)} to be added later")


def check_reserve(plan: Member, trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """The reserve is so many percent of each kind's splices, rounded up, and is there in the trays or in later ones."""
    percent = Fraction(plan["rules"]["reserve"]["percent"].decimal())
    splices: Counter[str] = Counter()
    kinds = {load.slot_kind for load in facts.loads if load.slot_kind is not None}
    for bundle in facts.bundles:
        splices[bundle.slot_kind or ""] += bundle.size
    findings.expect(set(facts.reserve) == kinds, "/certificate/reserve/asked", "names other kinds than the work uses")
    for kind, asked in facts.reserve.items():
        due = ceil(percent * splices[kind] / 100)
        findings.expect(asked == due, "/certificate/reserve/asked", f"{due} {kind} slots are to be kept")
    free: Counter[str] = Counter()
    for tray in trays:
        for bank in tray.banks:
            if bank.slot_kind is not None:
                free[bank.slot_kind] += bank.slots - bank.used
    told = set()
    for held in plan["reserve"].each():
        kind = held["slot_kind"].text()
        later = sum(bank.get(kind, 0) for code in facts.later for bank in facts.models[code].banks)
        for name, value in (("free", free[kind]), ("asked", facts.reserve.get(kind, 0)), ("later", later)):
            findings.expect(held[name].whole() == value, f"{held.pointer}/{name}", f"should be {value}")
        if kind in told:
            raise Malformed(f"{held.pointer}/slot_kind", "stands there twice")
        told.add(kind)
    findings.expect(told == kinds, "/reserve", "does not name the slot kinds that the work uses")
    wanted = {kind: asked - free[kind] for kind, asked in facts.reserve.items() if asked > free[kind]}
    if wanted and facts.reserve_in == "trays":
        for kind, missing in wanted.items():
            findings.breach("/reserve", f"{missing} {kind} slots of the reserve are missing in the trays")
    elif wanted:
        covered = _covered(wanted, facts)
        if covered is None:
            findings.notes.append("the banks of the later trays can be set in too many ways to be tried")
        else:
            told_so = "the trays that can be added later do not give the reserve, however they are set"
            findings.expect(covered, "/reserve", told_so)
    findings.checked.append("the reserve: asked, free, and to be had later")


def _covered(wanted: dict[str, int], facts: Facts) -> bool | None:
    """Whether the banks of the later trays can be set so that they give what is wanted; None: too many ways."""
    kinds = sorted(wanted)
    states = {tuple(wanted[kind] for kind in kinds)}
    for code in facts.later:
        for bank in facts.models[code].banks:
            states = {
                (*state[:at], max(0, state[at] - bank.get(kind, 0)), *state[at + 1 :])
                for state in states
                for at, kind in enumerate(kinds)
            }
            if len(states) > _STATES:
                return None
    return any(not any(state) for state in states)
