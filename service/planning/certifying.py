"""The certificate of a packing: what the demand and the closure say, put into the words of the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from service.domain.catalogue import Cable, Closure, Sleeve, Tray
from service.domain.certificate import (
    BundleFacts,
    CableFacts,
    Certificate,
    HangingCableFacts,
    HangingFacts,
    ParkedFacts,
    PortFacts,
    SleeveFacts,
    TrayFacts,
)
from service.domain.request import CableAtPoint, ExistingTray
from service.domain.rework import Given, Learned, rework_rank
from service.domain.splices import Work
from service.planning.demand import Demand
from service.planning.packing.problem import Item, Packing
from service.planning.rework_used import sleeve_rework_of
from service.planning.stowage import EndKind, Stowage


def certificate_of(
    closure: Closure,
    work: Work,
    demand: Demand,
    packing: Packing,
    stowage: Stowage,
    cables: Sequence[tuple[CableAtPoint, Cable]],
    existing: Sequence[ExistingTray],
) -> Certificate:
    """Certify a packing that fits; the demand must have come to a problem."""
    problem = demand.problem
    assert problem is not None
    used = sorted({item.slot_kind for item in problem.items if item.slots})
    shares: dict[tuple[EndKind, ...], Mapping[str, int | None]] = {}

    def storage(item: Item, *ends: EndKind) -> Mapping[str, int | None]:
        # Bundles of one kind of splice share one mapping: their shares of every channel are the same.
        if ends not in shares:
            shares[ends] = _storage(item, demand.trays, stowage, *ends)
        return shares[ends]

    bundles = []
    for number, (bundle, sleeve) in enumerate(zip(work.bundles, demand.sleeves, strict=True)):
        item, pairing = problem.items[number], stowage.pairing(bundle)
        bundles.append(
            BundleFacts(
                number + 1,
                sleeve.code,
                sleeve.slot_kind,
                bundle.fibres,
                item.size,
                bundle.label,
                item.ribbons,
                storage(item, pairing.from_, pairing.to),
            )
        )
    parked = []
    for ends, item in zip(demand.parked, problem.items[len(work.bundles) :], strict=True):
        parked.append(
            ParkedFacts(
                ends.ends.cable,
                ends.ends.tube,
                "ribbons" if ends.by_ribbon else "fibres",
                item.size,
                demand.slot_kinds[item.slot_kind] if item.slots else None,
                item.ribbons,
                storage(item, ends.kind),
            )
        )
    return Certificate(
        units_per_mm=demand.mm,
        stack=problem.stack,
        trays=tuple(
            TrayFacts(tray.code, kind.pitch, kind.most, kind.price, tray.single_banks(), kind.storage, kind.ribbons)
            for tray, kind in zip(demand.trays, problem.kinds, strict=True)
        ),
        ports=tuple(PortFacts(p.name, p.count, p.cables, p.od_min_mm, p.od_max_mm) for p in closure.ports),
        cables=tuple(
            CableFacts(
                at_point.tag,
                cable.od_mm,
                at_point.express,
                cable.fibres,
                cable.ribbon_fibres,
                cable.ribbons_per_tube,
                _hung(at_point),
            )
            for at_point, cable in cables
        ),
        sleeves=_sleeves(work, demand.sleeves, stowage),
        bundles=tuple(bundles),
        parked=tuple(parked),
        hanging=tuple(
            HangingFacts(
                position,
                tray.tray,
                tuple((bank.bank, bank.slot_kind, bank.used) for bank in tray.banks),
                tray.keep_apart,
                found.storage_used,
                found.ribbons_used,
                {bank.bank: bank.slots_taken for bank in tray.banks if bank.taken},
            )
            for position, (tray, found) in enumerate(zip(existing, problem.hanging, strict=True), start=1)
        ),
        split=problem.split,
        minimise=problem.minimise,
        reserve={demand.slot_kinds[kind]: demand.reserve[kind] for kind in used},
        reserve_in=problem.reserve_in,
        spare_trays=problem.spare_trays,
        later=tuple(demand.trays[kind].code for kind in packing.later),
    )


def _hung(at_point: CableAtPoint) -> HangingCableFacts | None:
    hanging = at_point.hanging
    if hanging is None:
        return None
    return HangingCableFacts(hanging.ports, hanging.cut, hanging.spliced, hanging.spliced_out)


def _storage(item: Item, trays: Sequence[Tray], stowage: Stowage, *ends: EndKind) -> dict[str, int | None]:
    """What one splice (both its ends) or one parked end takes of each tray's channel (µm²), told or not."""
    return {
        tray.code: None if share is None else sum(stowage.end(end, tray).um2 for end in ends)
        for tray, share in zip(trays, item.storage, strict=True)
    }


def _sleeves(work: Work, sleeves: Sequence[Sleeve], stowage: Stowage) -> tuple[SleeveFacts, ...]:
    """The sleeves in use, by code, with their splices by rework rate as the spares were counted."""
    models = {sleeve.code: sleeve for sleeve in sleeves}
    rates: dict[str, Counter[Given | Learned]] = {code: Counter() for code in models}
    for bundle, sleeve in zip(work.bundles, sleeves, strict=True):
        rates[sleeve.code][sleeve_rework_of(stowage.pairing(bundle), stowage)] += len(bundle.splices)
    return tuple(
        SleeveFacts(
            code,
            models[code].slot_kind,
            models[code].pack_of,
            tuple((rates[code][rate], rate) for rate in sorted(rates[code], key=rework_rank)),
        )
        for code in sorted(models)
    )
