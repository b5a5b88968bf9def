"""What the work comes to in sleeves, materials, preparation and hours: the plan's facts handed to each count."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from service.domain.catalogue import Cable, Catalogue, RibbonForm
from service.domain.plan import MaterialLine, PlannedTray, Preparation, SleeveCount
from service.domain.rework import Given, Learned, mean_rate, rework_rank
from service.domain.splices import Work
from service.planning.demand import Demand
from service.planning.express_room import CablesByTag
from service.planning.judge import Verdict
from service.planning.materials import MaterialCounts, count_materials
from service.planning.preparation import EndsToPrepare, cards
from service.planning.rework_used import sleeve_rework_of
from service.planning.spares import sleeves_needed
from service.planning.stowage import Stowage


def sleeve_counts(work: Work, demand: Demand, stowage: Stowage) -> tuple[SleeveCount, ...]:
    """Sleeves to carry, by sleeve: one a splice and the spares of all its splices pooled."""
    rules = stowage.rules
    groups: dict[str, Counter[Given | Learned]] = {}
    packs = {sleeve.code: sleeve.pack_of for sleeve in demand.sleeves}
    for bundle, sleeve in zip(work.bundles, demand.sleeves, strict=True):
        groups.setdefault(sleeve.code, Counter())[sleeve_rework_of(stowage.pairing(bundle), stowage)] += len(
            bundle.splices
        )
    counts = []
    for code, rates in sorted(groups.items()):
        splices = sum(rates.values())
        quantity = sleeves_needed([(n, rate) for rate, n in rates.items()], rules.confidence)
        mean = sum(mean_rate(rate) * rates[rate] for rate in sorted(rates, key=rework_rank)) / splices
        packed = -(-quantity // packs[code])
        counts.append(SleeveCount(code, splices, quantity - splices, quantity, packed, mean, rules.confidence))
    return tuple(counts)


def preparations_of(work: Work, stowage: Stowage, catalogue: Catalogue) -> tuple[Preparation, ...]:
    """The preparation cards, in the order in which the joints come to each kind of end."""
    uses = []
    for bundle in work.bundles:
        for tag in (bundle.from_cable, bundle.to_cable):
            uses.append(EndsToPrepare(stowage.cable(tag), bundle.form, bundle.fibres, len(bundle.splices)))
    return cards(uses, catalogue.methods.values())


def ribbonised(cable: Cable, form: str) -> bool:
    """Whether loose fibres are made into ribbons in the field for a mass splice."""
    return form == "ribbon" and cable.ribbon_form == "loose"


def materials_of(
    work: Work,
    catalogue: Catalogue,
    verdict: Verdict,
    trays: Sequence[PlannedTray],
    sleeves: Sequence[SleeveCount],
    cables: CablesByTag,
    hanging: bool,
) -> tuple[MaterialLine, ...]:
    """The plan's materials; ``hanging``: the closure is there already and is opened again.

    Where cables hang already, what they came in with is there: only new cables count, only ports that one goes in
    through (with all that goes through them: their seals are opened), no blanks, and only new cables' tubes that pass.
    """
    known = any(at.hanging is not None for at, _ in cables.values())
    new_cables = {tag: cable for tag, (at, cable) in cables.items() if at.hanging is None}
    places = {f"{port.name}-{n}": port for port in verdict.closure.ports for n in range(1, port.count + 1)}
    slots: Counter[str] = Counter()
    ends: Counter[RibbonForm] = Counter()
    made = 0
    for bundle, sleeve in zip(work.bundles, verdict.demand.sleeves, strict=True):
        slots[sleeve.slot_kind] += len(bundle.splices)
        if bundle.form == "ribbon":
            for tag in (bundle.from_cable, bundle.to_cable):
                cable = cables[tag][1]
                ends[cable.ribbon_form] += len(bundle.splices)
                made += len(bundle.splices) if ribbonised(cable, "ribbon") else 0
    models = {tray.code: tray for tray in verdict.demand.trays}
    new = Counter(tray.tray for tray in trays if tray.new)
    counts = MaterialCounts(
        re_entry=hanging,
        ports=tuple(
            (places[use.port], use.od_mm) for use in verdict.ports.uses if not new_cables.keys().isdisjoint(use.cables)
        ),
        blanks=() if known else tuple(places[name] for name in verdict.ports.blanks),
        cables=tuple(new_cables.values()),
        trays=sum(new.values()),
        splices=dict(slots),
        ribbon_ends=dict(ends),
        ribbonised_ends=made,
        express_tubes=tuple(
            (new_cables[lane.cable], lane.express_tubes)
            for lane in work.lanes
            if lane.express_tubes and lane.cable in new_cables
        ),
        transport_tubes=_transport_tubes(trays, work, cables),
    )
    return count_materials(
        catalogue.materials.values(),
        counts,
        verdict.closure,
        existing=hanging,
        trays=[(models[code], count) for code, count in sorted(new.items())],
        sleeves=[(catalogue.sleeves[count.sleeve], count) for count in sleeves],
    )


def _transport_tubes(trays: Sequence[PlannedTray], work: Work, cables: CablesByTag) -> tuple[tuple[Cable, int], ...]:
    """One transport tube for each cable tube in each tray that it enters (common practice, no source)."""
    entering: set[tuple[str, int, int]] = set()
    for tray in trays:
        for splice in tray.splices:
            for end in (splice.from_, splice.to):
                entering.add((end.cable, cables[end.cable][1].tube_of_ribbon(end.ribbon), tray.position))
        entering.update((parked.cable, parked.tube, tray.position) for parked in tray.parked)
    by_cable = Counter(tag for tag, _, _ in entering)
    return tuple((cables[tag][1], by_cable[tag]) for tag in cables if by_cable[tag])
