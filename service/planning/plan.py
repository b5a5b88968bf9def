"""One splice point planned whole, or checked for fit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from service.domain.catalogue import Catalogue, Closure
from service.domain.faults import Refused
from service.domain.plan import (
    Alternative,
    FitCheck,
    MaterialLine,
    Plan,
    Preparation,
    Slack,
    SleeveCount,
)
from service.domain.proof import Proof
from service.domain.records import Tally
from service.domain.request import PlanRequest
from service.domain.splices import Work
from service.planning.account_of_bend import bend_of
from service.planning.accounts import materials_of, preparations_of, sleeve_counts
from service.planning.bounds_told import bounds_told
from service.planning.cautions import cautions
from service.planning.certifying import certificate_of
from service.planning.crew_account import crew_of
from service.planning.demand import Demand
from service.planning.effort import faults_of_effort
from service.planning.express_room import CablesByTag
from service.planning.headroom import headroom_of
from service.planning.joints import SPLICES_MOST, cables_by_tag, work_of
from service.planning.judge import Verdict
from service.planning.materials import idle_rules
from service.planning.packing.problem import Packing
from service.planning.placing import placed_trays
from service.planning.ranking import judge_all
from service.planning.remedies import ways_out
from service.planning.reserve_held import reserve_held
from service.planning.rework_used import notes_of_rates, rates_recorded
from service.planning.site import check_site
from service.planning.stowage import Stowage
from service.planning.wording import proof_in_words


def plan_splice_point(
    request: PlanRequest,
    catalogue: Catalogue,
    splices_most: int = SPLICES_MOST,
    recorded: Iterable[Tally] = (),
) -> Plan:
    """Plan one splice point.

    The closure that fits best of those asked for is planned whole and each other one gets its verdict. ``recorded``
    is what splice records have taught, for a request that asks for it. Raises ``Refused`` with every fault where the
    joints cannot be what is meant.
    """
    work, cables, stowage, verdicts = _judged(request, catalogue, splices_most, recorded)
    best, others = verdicts[0], verdicts[1:]
    notes = _notes(work, stowage, best)
    alternatives = tuple(other.alternative() for other in sorted(others, key=lambda verdict: verdict.closure.code))
    if not best.fits:
        ways = ways_out(request, work, catalogue, stowage, cables, verdicts)
        return Plan(
            name=request.name,
            fits=False,
            closure=best.closure.code if len(verdicts) == 1 else None,
            rules=request.rules,
            bundles=len(work.bundles),
            splices=work.splices,
            reasons=best.reasons,
            remedies=ways.remedies,
            largest_part=ways.part,
            largest_part_undivided=ways.undivided,
            alternatives=alternatives if len(verdicts) == 1 else tuple(v.alternative() for v in _by_code(verdicts)),
            lanes=work.lanes,
            notes=notes,
            cautions=cautions(_armoured(cables), request.site.kind if request.site else None),
            revisions=_revisions(catalogue, verdicts, cables),
        )
    return _whole(request, catalogue, work, cables, stowage, best, alternatives, notes)


def check_fit(request: PlanRequest, catalogue: Catalogue, splices_most: int = SPLICES_MOST) -> FitCheck:
    """Yes or no for every candidate closure, without the map. Raises ``Refused`` as ``plan_splice_point`` does."""
    work, _, stowage, verdicts = _judged(request, catalogue, splices_most)
    best = verdicts[0]
    room = headroom_of(work, best.demand, request.rules.reserve.percent) if request.headroom and best.fits else None
    return FitCheck(
        request.name,
        best.fits,
        best.closure.code if best.fits else None,
        len(work.bundles),
        work.splices,
        tuple(verdict.alternative() for verdict in verdicts),
        _notes(work, stowage, best),
        room,
    )


def _judged(
    request: PlanRequest, catalogue: Catalogue, splices_most: int, recorded: Iterable[Tally] = ()
) -> tuple[Work, CablesByTag, Stowage, Sequence[Verdict]]:
    work = work_of(request, catalogue, splices_most)
    faults = faults_of_effort(work.splices, len(request.closures or catalogue.closures))
    if faults:
        raise Refused(faults)
    cables = dict(cables_by_tag(request, catalogue))
    stowage = Stowage(request.rules, catalogue, {tag: cable for tag, (_, cable) in cables.items()}, recorded)
    return work, cables, stowage, judge_all(request, work, catalogue, stowage, cables)


def _by_code(verdicts: Iterable[Verdict]) -> list[Verdict]:
    return sorted(verdicts, key=lambda verdict: verdict.closure.code)


def _armoured(cables: CablesByTag) -> bool:
    return any(cable.armoured for _, cable in cables.values())


def _notes(work: Work, stowage: Stowage, verdict: Verdict) -> tuple[str, ...]:
    return tuple(dict.fromkeys([*work.notes, *stowage.notes, *verdict.notes]))


def _whole(
    request: PlanRequest,
    catalogue: Catalogue,
    work: Work,
    cables: CablesByTag,
    stowage: Stowage,
    verdict: Verdict,
    alternatives: tuple[Alternative, ...],
    notes: tuple[str, ...],
) -> Plan:
    demand, packing = verdict.demand, verdict.packing
    assert packing is not None
    trays = placed_trays(work, demand, packing, stowage, request.existing_trays)
    sleeves = sleeve_counts(work, demand, stowage)
    bent, bend_notes = bend_of(work, demand, packing, stowage)
    site = None
    if request.site is not None:
        site = check_site(request.site, verdict.closure, list(cables.values()))
    materials = materials_of(work, catalogue, verdict, trays, sleeves, cables, bool(request.existing_trays))
    preparation = preparations_of(work, stowage, catalogue)
    entering = sum(at_point.hanging is None for at_point, _ in cables.values())
    rates = rates_recorded(work, stowage)
    return Plan(
        name=request.name,
        fits=True,
        closure=verdict.closure.code,
        rules=request.rules,
        bundles=len(work.bundles),
        splices=work.splices,
        trays=trays,
        proof=_proof(demand, packing),
        ports=verdict.ports.uses,
        spare_ports=verdict.ports.blanks,
        slack=_slack(verdict, cables, work),
        bend=bent,
        reserve=reserve_held(demand, packing),
        sleeves=sleeves,
        materials=materials,
        preparation=preparation,
        lanes=work.lanes,
        crew=crew_of(request.crew, work, stowage, entering) if request.crew is not None else None,
        site=site,
        alternatives=alternatives,
        notes=tuple(
            dict.fromkeys(
                [
                    *notes,
                    *bend_notes,
                    *notes_of_rates(rates),
                    *_missing_figures(verdict),
                    *_idle_rules(catalogue),
                ]
            )
        ),
        recorded=rates,
        cautions=cautions(_armoured(cables), request.site.kind if request.site else None),
        revisions=_revisions(catalogue, [verdict], cables, sleeves, materials, preparation),
        headroom=headroom_of(work, demand, request.rules.reserve.percent) if request.headroom else None,
        certificate=certificate_of(
            verdict.closure, work, demand, packing, stowage, list(cables.values()), request.existing_trays
        ),
    )


def _proof(demand: Demand, packing: Packing) -> Proof:
    bounds, problem = packing.bounds, demand.problem
    assert bounds is not None and problem is not None
    new = sum(1 for tray in packing.trays if tray.hanging is None)
    by_price = problem.minimise == "price"
    cents = Decimal("0.01")
    return Proof(
        optimal=bounds.optimal,
        trays=new,
        # Where price is minimised the number of trays is not an objective, so no more than the price is claimed.
        lower_bound=bounds.cost_bound if not by_price else min(new, 1),
        stack_mm=bounds.height / demand.mm,
        stack_lower_bound_mm=bounds.height_bound / demand.mm,
        opened=bounds.opened,
        opened_lower_bound=bounds.opened_bound,
        pieces=bounds.pieces,
        pieces_lower_bound=bounds.pieces_bound,
        method=proof_in_words(packing.method, demand.slot_kinds, [tray.code for tray in demand.trays]),
        nodes=packing.nodes,
        cost=bounds.cost * cents if by_price else None,
        cost_lower_bound=bounds.cost_bound * cents if by_price else None,
        bounds=bounds_told(bounds, packing.evidence, demand.slot_kinds, [tray.code for tray in demand.trays]),
        solver_used=any(each.solver for each in packing.evidence),
    )


def _slack(verdict: Verdict, cables: CablesByTag, work: Work) -> tuple[Slack, ...]:
    """The lengths of each cable; one that hangs already and has no tube opened now has no sheath opened either."""
    lines = []
    for tag, (at_point, _) in cables.items():
        stowed = verdict.stowed.get(tag)
        if stowed is None:
            continue
        opens = at_point.hanging is None or tag in work.opened_now
        lines.append(
            Slack(
                tag,
                stowed.end.stored_mm,
                stowed.end.turns,
                stowed.opening_mm if opens else 0.0,
                stowed.remakes_left,
                stowed.window_mm if opens else None,
                at_point.slack_m,
            )
        )
    return tuple(lines)


def _missing_figures(verdict: Verdict) -> list[str]:
    """Figures that the catalogue does not give and the plan therefore leaves out or counts as nothing."""
    notes = []
    closure: Closure = verdict.closure
    if closure.opening_step_mm is None:
        notes.append(f"closure {closure.code} gives no step for the sheath opening: not rounded")
    packed = verdict.packing.trays if verdict.packing is not None else ()
    for tray in {verdict.demand.trays[each.kind].code: verdict.demand.trays[each.kind] for each in packed}.values():
        if tray.entry_mm is None:
            notes.append(f"tray {tray.code} gives no length from entry to slot: counted as 0 mm")
        if tray.storage_mm2 is None:
            notes.append(f"tray {tray.code} gives no channel cross-section: its storage was not judged")
    return notes


def _idle_rules(catalogue: Catalogue) -> tuple[str, ...]:
    found: tuple[str, ...] | None = catalogue.memo.get(("idle rules",))
    if found is None:
        found = catalogue.memo["idle rules",] = idle_rules(catalogue.materials.values())
    return found


def _revisions(
    catalogue: Catalogue,
    verdicts: Sequence[Verdict],
    cables: CablesByTag,
    sleeves: Sequence[SleeveCount] = (),
    materials: Sequence[MaterialLine] = (),
    preparation: Sequence[Preparation] = (),
) -> Mapping[str, int]:
    """The entries that the answer was made from, each with its revision."""
    used: set[tuple[str, str]] = {("cables", cable.code) for _, cable in cables.values()}
    used.update(("sleeves", count.sleeve) for count in sleeves)
    used.update(("materials", line.material) for line in materials if line.kind == "material")
    used.update(("methods", card.method) for card in preparation if not card.shipped)
    for verdict in verdicts:
        used.add(("closures", verdict.closure.code))
        used.update(("trays", tray.code) for tray in verdict.demand.trays)
    return {f"{kind}/{code}": catalogue.revision(kind, code) for kind, code in sorted(used)}
