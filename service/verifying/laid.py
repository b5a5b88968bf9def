"""The plan's trays as they are read from it: banks, splices with their ends, parked ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.verifying.facts import Facts
from service.verifying.members import Malformed, Member

End = tuple[str, int, int | None, int | None, str]
"""(cable, ribbon, fibre, half, end)."""


@dataclass(frozen=True, slots=True)
class LaidSplice:
    """A splice in its slot."""

    bank: int
    slot: int
    from_: End
    to: End
    fibres: int
    sleeve: str
    bundle: int
    pointer: str


@dataclass(frozen=True, slots=True)
class LaidEnds:
    """Parked ends of one tube in one tray."""

    cable: str
    tube: int
    of: str
    count: int
    pointer: str


@dataclass(frozen=True, slots=True)
class LaidBank:
    """A bank and what it is set to."""

    slot_kind: str | None
    slots: int
    used: int
    pointer: str


@dataclass(frozen=True, slots=True)
class LaidTray:
    """A tray of the plan; ``found`` is the place among the hanging trays, None for a new one."""

    position: int
    model: str
    found: int | None
    banks: tuple[LaidBank, ...]
    splices: tuple[LaidSplice, ...]
    parked: tuple[LaidEnds, ...]
    label: str | None
    storage_used_mm2: float
    storage_mm2: float | None
    pointer: str

    @property
    def new(self) -> bool:
        """Whether it is hung now."""
        return self.found is None

    @property
    def opened(self) -> bool:
        """Whether something is laid into it."""
        return bool(self.splices or self.parked)


def trays_from(plan: Member, facts: Facts) -> tuple[LaidTray, ...]:
    """Read the plan's trays; raises ``Malformed``."""
    trays = tuple(_tray(tray, place, facts) for place, tray in enumerate(plan["trays"].each()))
    if len(trays) < len(facts.hanging):
        raise Malformed(f"{plan.pointer}/trays", "a tray that hangs already is missing")
    return trays


def _tray(tray: Member, place: int, facts: Facts) -> LaidTray:
    if tray["position"].whole() != place + 1:
        raise Malformed(f"{tray.pointer}/position", "is out of turn: trays are numbered from 1")
    code = tray["tray"].text()
    if code not in facts.models:
        raise Malformed(f"{tray.pointer}/tray", f"the closure takes no tray {code}")
    new, found = tray["new"].flag(), place if place < len(facts.hanging) else None
    if new != (found is None):
        raise Malformed(f"{tray.pointer}/new", "the trays that hang already come first, and no other hangs already")
    if found is not None and facts.hanging[found].model != code:
        raise Malformed(f"{tray.pointer}/tray", f"the tray that hangs here is a {facts.hanging[found].model}")
    banks = tuple(_bank(bank, number) for number, bank in enumerate(tray["banks"].each(), start=1))
    if len(banks) != len(facts.models[code].banks):
        raise Malformed(f"{tray.pointer}/banks", f"tray {code} has {len(facts.models[code].banks)} banks")
    label = tray["keep_apart"]
    storage = tray.maybe("storage_mm2")
    return LaidTray(
        place + 1,
        code,
        found,
        banks,
        tuple(_splice(splice, len(banks), len(facts.bundles)) for splice in tray["splices"].each()),
        tuple(laid for ends in tray["parked"].each() for laid in _ends(ends)),
        None if label.value is None else label.text(),
        tray["storage_used_mm2"].number(),
        None if storage is None else storage.number(),
        tray.pointer,
    )


def _bank(bank: Member, number: int) -> LaidBank:
    if bank["bank"].whole() != number:
        raise Malformed(f"{bank.pointer}/bank", "is out of turn: banks are numbered from 1")
    kind = bank["slot_kind"]
    return LaidBank(
        None if kind.value is None else kind.text(), bank["slots"].whole(), bank["used"].whole(), bank.pointer
    )


def _splice(splice: Member, banks: int, bundles: int) -> LaidSplice:
    bank, bundle = splice["bank"], splice["bundle"]
    if not 1 <= bank.whole() <= banks:
        raise Malformed(bank.pointer, f"the tray has {banks} banks")
    if not 1 <= bundle.whole() <= bundles:
        raise Malformed(bundle.pointer, f"there are {bundles} bundles")
    return LaidSplice(
        bank.whole(),
        splice["slot"].whole(1),
        _end(splice["from"]),
        _end(splice["to"]),
        splice["fibres"].whole(1),
        splice["sleeve"].text(),
        bundle.whole(),
        splice.pointer,
    )


def _end(end: Member) -> End:
    fibre, half = end.maybe("fibre"), end.maybe("half")
    side = end["end"].one_of("in", "out") if end.has("end") else "in"
    if half is not None and half.whole() not in (1, 2):
        raise Malformed(half.pointer, "a ribbon has two halves")
    return (
        end["cable"].text(),
        end["ribbon"].whole(1),
        None if fibre is None else fibre.whole(1),
        None if half is None else half.whole(),
        side,
    )


def _ends(ends: Member) -> Iterator[LaidEnds]:
    cable, tube = ends["cable"].text(), ends["tube"].whole(1)
    ribbons, fibres = ends["ribbons"].whole(), ends["fibres"].whole()
    if not ribbons + fibres:
        raise Malformed(ends.pointer, "no ends are parked here")
    if ribbons:
        yield LaidEnds(cable, tube, "ribbons", ribbons, ends.pointer)
    if fibres:
        yield LaidEnds(cable, tube, "fibres", fibres, ends.pointer)
