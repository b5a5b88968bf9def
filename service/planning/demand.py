"""The demand that a splice point puts on one closure, as a packing problem in integers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil
from types import MappingProxyType
from typing import Literal

from service.domain.catalogue import Catalogue, Closure, Sleeve, Tray
from service.domain.plan import Reason
from service.domain.request import ExistingTray, Rules
from service.domain.splices import Bundle, StoredEnds, Work
from service.planning.packing.problem import HangingTray, Item, Problem, TrayKind
from service.planning.sleeves import SleeveChoice, choose_sleeve, tray_takes
from service.planning.stowage import EndKind, Pairing, Stowage

_MEMO_MOST = 10_000
"""What is derived from a catalogue is forgotten beyond this: callers choose the overlap, so the keys have no end."""


@dataclass(frozen=True, slots=True)
class Parked:
    """Alike ends of one opened tube that are parked: ribbons (``by_ribbon``) or fibres, and how many."""

    ends: StoredEnds
    kind: EndKind
    by_ribbon: bool
    count: int


@dataclass(frozen=True, slots=True)
class Demand:
    """One closure's packing problem, with the words behind its numbers.

    ``sleeves`` stand by bundle. Items of the problem are the bundles, then ``parked``; ``problem`` is None where
    ``reasons`` already tell that a bundle can lie in none of the closure's trays.
    """

    closure: Closure
    trays: tuple[Tray, ...]
    slot_kinds: tuple[str, ...]
    sleeves: tuple[Sleeve, ...]
    parked: tuple[Parked, ...]
    problem: Problem | None
    mm: int
    reserve: tuple[int, ...]
    reasons: tuple[Reason, ...]
    notes: tuple[str, ...]


FINEST_PLACES = 6
"""Lengths count to a millionth of a millimetre: what is beyond is the noise of somebody's binary arithmetic."""


def _scale(values: Sequence[float]) -> int:
    """The smallest power of ten that turns every value, as written in decimal, into a whole number."""
    places = 0
    for value in values:
        if value != int(value):
            exponent = round(Decimal(repr(float(value))), FINEST_PLACES).normalize().as_tuple().exponent
            places = max(places, -int(exponent))
    return int(10**places)


def _scaled(value: float, scale: int) -> int:
    return int(round(Decimal(repr(float(value))), FINEST_PLACES) * scale)


class Sleeves:
    """The sleeve of each pairing in one closure's trays, chosen once a catalogue."""

    def __init__(self, rules: Rules, catalogue: Catalogue, trays: Sequence[Tray]) -> None:
        self._overlap = rules.overlap_mm
        self._catalogue = catalogue
        self._trays = trays
        self._codes = tuple(tray.code for tray in trays)

    def choose(self, pairing: Pairing) -> tuple[Sleeve | None, Reason | None]:
        """The sleeve for a pairing, or why there is none."""
        kind, cleave = pairing.from_, pairing.cleave_length_mm
        key = ("sleeve", self._codes, kind.form, kind.fibres, cleave, self._overlap)
        chosen: SleeveChoice | None = self._catalogue.memo.get(key)
        if chosen is None:
            sleeves = self._catalogue.sleeves.values()
            chosen = choose_sleeve(kind.form, kind.fibres, cleave, self._overlap, sleeves, self._trays)
            if len(self._catalogue.memo) > _MEMO_MOST:
                self._catalogue.memo.clear()
            self._catalogue.memo[key] = chosen
        return chosen.sleeve, chosen.reason


def demand_on(
    closure: Closure,
    work: Work,
    rules: Rules,
    catalogue: Catalogue,
    stowage: Stowage,
    existing: Sequence[ExistingTray] = (),
    sleeves_set: Mapping[int, Sleeve] = MappingProxyType({}),
) -> Demand:
    """Put the work of a splice point to one closure (pure; see ``Demand``).

    ``sleeves_set`` gives bundles (by their place) another sleeve than the one that would be chosen.
    """
    notes: dict[str, None] = {}
    allowances = [a for a in closure.trays if a.tray in catalogue.trays]
    trays = tuple(catalogue.trays[a.tray] for a in allowances)
    for allowance in closure.trays:
        if allowance.tray not in catalogue.trays:
            notes[f"tray {allowance.tray} is retired and left out"] = None
    chooser = Sleeves(rules, catalogue, trays)
    reasons: dict[Reason, None] = {}
    sleeves: list[Sleeve] = []
    kinds: dict[str, int] = {tray_bank.slot_kind: 0 for tray in existing for tray_bank in tray.banks}
    kinds = {kind: number for number, kind in enumerate(kinds)}
    for place, bundle in enumerate(work.bundles):
        sleeve, reason = sleeves_set.get(place), None
        if sleeve is None:
            sleeve, reason = chooser.choose(stowage.pairing(bundle))
        if sleeve is None:
            if reason is not None:
                reasons[reason] = None
            continue
        sleeves.append(sleeve)
        kinds.setdefault(sleeve.slot_kind, len(kinds))
    if reasons:
        return Demand(closure, trays, tuple(kinds), (), (), None, 1, (), tuple(reasons), tuple(notes))

    items: list[Item] = []
    labels: dict[str, int] = {}
    fits_in: dict[tuple[int, str], tuple[int | None, ...]] = {}
    for bundle, sleeve in zip(work.bundles, sleeves, strict=True):
        pairing = stowage.pairing(bundle)
        key = (id(pairing), sleeve.code)
        storage = fits_in.get(key)
        if storage is None:
            storage = fits_in[key] = _storage_by_tray(pairing, sleeve, trays, stowage)
            if all(share is None for share in storage):
                reasons.update(dict.fromkeys(_why_nowhere(pairing, sleeve, trays, stowage)))
        label = labels.setdefault(bundle.label, len(labels)) if bundle.label is not None else None
        ends = 2 if bundle.form == "ribbon" else 0
        items.append(Item(kinds[sleeve.slot_kind], len(bundle.splices), storage, label, ends))
    for tray in existing:
        if tray.keep_apart is not None:
            labels.setdefault(tray.keep_apart, len(labels))
    parked, parked_items = _parked(work, rules, trays, stowage, chooser, kinds, reasons)
    items.extend(parked_items)
    if reasons:
        return Demand(closure, trays, tuple(kinds), tuple(sleeves), parked, None, 1, (), tuple(reasons), tuple(notes))

    mm = _scale([closure.stack_mm, *(tray.pitch_mm for tray in trays)])
    slot_kinds = tuple(kinds)
    reserve = _reserve(rules, work.bundles, sleeves, kinds)
    minimise = _minimise(rules, trays, notes)
    problem = Problem(
        slot_kinds=len(slot_kinds),
        kinds=tuple(
            _tray_kind(catalogue, tray, allowance.most, mm, slot_kinds)
            for tray, allowance in zip(trays, allowances, strict=True)
        ),
        stack=_scaled(closure.stack_mm, mm),
        items=tuple(items),
        split=rules.split,
        minimise=minimise,
        reserve=reserve,
        reserve_in=rules.reserve.in_,
        spare_trays=rules.spare_trays,
        hanging=tuple(_hanging(tray, trays, kinds, labels) for tray in existing),
    )
    return Demand(closure, trays, slot_kinds, tuple(sleeves), parked, problem, mm, reserve, (), tuple(notes))


def _minimise(rules: Rules, trays: Sequence[Tray], notes: dict[str, None]) -> Literal["trays", "price"]:
    """Price is minimised only where every tray has one, in one currency; otherwise the fewest trays, and a note."""
    if rules.minimise == "price":
        if all(tray.price is not None for tray in trays) and len({tray.currency for tray in trays}) == 1:
            return "price"
        notes["not every tray has a price in one currency: the fewest trays were sought instead"] = None
    return "trays"


def _storage_by_tray(
    pairing: Pairing, sleeve: Sleeve, trays: Sequence[Tray], stowage: Stowage
) -> tuple[int | None, ...]:
    """What one splice takes of each tray's channel (µm²); None: it may not lie there, 0: the channel is not told."""
    shares: list[int | None] = []
    for tray in trays:
        if not tray_takes(tray, sleeve) or stowage.refusal(pairing, sleeve, tray) is not None:
            shares.append(None)
        elif tray.storage_mm2 is None:
            shares.append(0)
        else:
            shares.append(stowage.end(pairing.from_, tray).um2 + stowage.end(pairing.to, tray).um2)
    return tuple(shares)


def _why_nowhere(pairing: Pairing, sleeve: Sleeve, trays: Sequence[Tray], stowage: Stowage) -> list[Reason]:
    """The refusal that comes nearest to being met, for splices that no tray of the closure may hold."""
    refusals = [
        reason
        for tray in trays
        if any(bank.get(sleeve.slot_kind) for bank in tray.single_banks())
        and (reason := stowage.refusal(pairing, sleeve, tray)) is not None
    ]
    return [min(refusals, key=lambda reason: abs(reason.need - reason.have))] if refusals else []


def _parked(
    work: Work,
    rules: Rules,
    trays: Sequence[Tray],
    stowage: Stowage,
    chooser: Sleeves,
    kinds: dict[str, int],
    reasons: dict[Reason, None],
) -> tuple[tuple[Parked, ...], list[Item]]:
    """Parked ends as loose items: they take channel and entries, and slots where the rules say so."""
    parked: list[Parked] = []
    items: list[Item] = []
    for ends in work.stored:
        for by_ribbon, numbers in ((True, ends.ribbons), (False, ends.fibres)):
            if not numbers:
                continue
            cable = stowage.cable(ends.cable)
            fibres = cable.fibres_of_ribbon(numbers[0]) if by_ribbon else 1
            kind = stowage.kind(ends.cable, "ribbon" if by_ribbon else "single", fibres)
            slot_kind, slots = 0, 0
            if rules.stored_ends == "slots":
                sleeve, reason = chooser.choose(Pairing(kind, kind))
                if sleeve is None:
                    if reason is not None:
                        reasons[reason] = None
                    continue
                slot_kind, slots = kinds.setdefault(sleeve.slot_kind, len(kinds)), 1
            shares = tuple(
                None
                if stowage.end_refusal(kind, tray) is not None
                else 0
                if tray.storage_mm2 is None
                else stowage.end(kind, tray).um2
                for tray in trays
            )
            if all(share is None for share in shares):
                refusals = [r for tray in trays if (r := stowage.end_refusal(kind, tray)) is not None]
                reasons.update(dict.fromkeys([min(refusals, key=lambda r: abs(r.need - r.have))] if refusals else []))
            parked.append(Parked(ends, kind, by_ribbon, len(numbers)))
            items.append(Item(slot_kind, len(numbers), shares, None, 1 if by_ribbon else 0, slots, loose=True))
    return tuple(parked), items


def _reserve(
    rules: Rules, bundles: Sequence[Bundle], sleeves: Sequence[Sleeve], kinds: dict[str, int]
) -> tuple[int, ...]:
    """Free slots to keep of each kind: so many percent of its splices, rounded up."""
    percent = rules.reserve.percent
    if percent == 0:
        return (0,) * len(kinds)
    splices = [0] * len(kinds)
    for bundle, sleeve in zip(bundles, sleeves, strict=True):
        splices[kinds[sleeve.slot_kind]] += len(bundle.splices)
    return tuple(reserve_of(percent, count) for count in splices)


def reserve_of(percent: float, splices: int) -> int:
    """Free slots kept for so many splices of a kind: so many percent, exactly as written in decimal, rounded up."""
    return ceil(Decimal(repr(float(percent))) * splices / 100)


def _tray_kind(catalogue: Catalogue, tray: Tray, most: int, mm: int, slot_kinds: tuple[str, ...]) -> TrayKind:
    key = ("tray kind", tray.code, most, mm, slot_kinds)
    kind: TrayKind | None = catalogue.memo.get(key)
    if kind is None:
        kind = catalogue.memo[key] = TrayKind(
            pitch=_scaled(tray.pitch_mm, mm),
            most=most,
            banks=tuple(tuple(bank.get(kind, 0) for kind in slot_kinds) for bank in tray.single_banks()),
            price=None if tray.price is None else int(tray.price * 100),
            storage=None if tray.storage_mm2 is None else _scaled(tray.storage_mm2, 10**6),
            ribbons=tray.entry_ribbons_max,
        )
    return kind


def _hanging(tray: ExistingTray, trays: Sequence[Tray], kinds: dict[str, int], labels: dict[str, int]) -> HangingTray:
    kind = next(number for number, model in enumerate(trays) if model.code == tray.tray)
    banks: list[tuple[int | None, int]] = [(None, 0)] * len(trays[kind].single_banks())
    for bank in tray.banks:
        banks[bank.bank - 1] = (kinds[bank.slot_kind], bank.used)
    return HangingTray(
        kind,
        tuple(banks),
        None if tray.keep_apart is None else labels[tray.keep_apart],
        ceil(Decimal(repr(float(tray.storage_used_mm2))) * 10**6),
        tray.ribbons,
    )
