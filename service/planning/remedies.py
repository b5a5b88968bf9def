"""The changes that would make the work fit, each shown by solving again, and the largest part that fits as it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from service.domain.catalogue import Catalogue
from service.domain.refusal import LargestPart, Remedy
from service.domain.request import PlanRequest
from service.domain.splices import Work
from service.planning.express_room import CablesByTag
from service.planning.judge import Verdict
from service.planning.mending.bundles_eased import bundles_divided, labels_given_up
from service.planning.mending.closures_tried import other_closure
from service.planning.mending.largest_part import largest_part
from service.planning.mending.port_kit import port_kit
from service.planning.mending.ribbons_split import ribbons_split
from service.planning.mending.room_made import other_tray, positions_added
from service.planning.mending.rules_eased import fewer_remakes, nearer_splicer, smaller_reserve
from service.planning.mending.sleeves_mixed import larger_sleeves
from service.planning.mending.trial import Trial
from service.planning.stowage import Stowage

NODES_FOR_REMEDIES = 60_000
NODES_FOR_PARTS = 60_000
"""Search steps for all the tries of one refusal together."""

CLOSURES_TRIED = 3
"""In how many of several closures the largest part is looked for."""

_UPHEAVAL = (
    "reserve", "reach", "remakes", "split_ribbons", "split", "keep_apart", "sleeve", "tray_count", "stack",
    "tray_kind", "ports", "closure", "splices",
)  # fmt: skip

PACKING = {"stack", "tray_count", "storage", "keep_apart", "split"}


@dataclass(frozen=True, slots=True)
class WaysOut:
    """What to do: ``remedies`` in their order; the largest part, and where that divides bundles which the rules keep
    together, the largest that does not."""

    remedies: tuple[Remedy, ...] = ()
    part: LargestPart | None = None
    undivided: LargestPart | None = None


def ways_out(
    request: PlanRequest,
    work: Work,
    catalogue: Catalogue,
    stowage: Stowage,
    cables: CablesByTag,
    verdicts: Sequence[Verdict],
) -> WaysOut:
    """What to do where none of some closures takes the work: changes to the first of them, and parts for one of them.

    Nothing where it is not decided whether it fits.
    """
    if any(reason.limit == "undecided" for verdict in verdicts for reason in verdict.reasons):
        return WaysOut()

    def trial(verdict: Verdict, nodes: int) -> Trial:
        return Trial(request, work, catalogue, stowage, cables, verdict.closure, nodes)

    found = _remedies(trial(verdicts[0], NODES_FOR_REMEDIES), verdicts[0])
    tried = verdicts[:CLOSURES_TRIED]
    nodes = NODES_FOR_PARTS // len(tried)
    parts = [largest_part(trial(verdict, nodes), verdict.reasons) for verdict in tried]
    number = max(range(len(parts)), key=lambda number: parts[number].splices)
    part, whole = parts[number], largest_part(trial(tried[number], nodes), tried[number].reasons, whole=True)
    if whole.splices > part.splices:
        # One that divides nothing is a part too, and this one was found where a larger one was not.
        part = replace(whole, at_most=part.at_most, proven=whole.splices == part.at_most)
    if part.splices:
        text = f"splice {part.splices} of the {work.splices} in closure {part.closure} and the others elsewhere"
        if part.splices == work.splices:
            text = f"leave out what nothing is spliced of here: {', '.join(part.cables)}"
        found.append(Remedy("splices", str(part.splices), True, text, amount=part.splices))
    return WaysOut(in_order(found), part, whole if whole.splices != part.splices else None)


def in_order(remedies: Sequence[Remedy]) -> tuple[Remedy, ...]:
    """Ranked by cost: what needs no material first, then by cost where it is known, then what has no known cost.

    Fewer splices come last, for they leave work undone. Among equals the least upheaval first: rules, room in the
    closure, another closure.
    """

    def rank(remedy: Remedy) -> tuple[object, ...]:
        # A cost in another currency than the first one's cannot be compared and counts as not known.
        known = remedy.cost is not None and remedy.currency == currency
        group = 3 if remedy.change == "splices" else 0 if not remedy.buys else 1 if known else 2
        return group, remedy.cost if known else 0, _UPHEAVAL.index(remedy.change)

    currency = next((remedy.currency for remedy in remedies if remedy.cost is not None), None)
    return tuple(sorted(remedies, key=rank))


def _remedies(trial: Trial, verdict: Verdict) -> list[Remedy]:
    """Every kind of change that can help against the limits that bind, the least upheaval first.

    Each kind gets a third of the search steps that are left at the most, so that none leaves nothing for the others.
    """
    limits = {str(reason.limit) for reason in verdict.reasons}
    rules = trial.request.rules
    in_trays = bool(limits & PACKING)
    ways: list[tuple[bool, Callable[[Trial], Iterator[Remedy]]]] = [
        (in_trays and rules.reserve.percent > 0, smaller_reserve),
        (bool(limits & {"storage", "bend", "stack", "tray_count", "express"}), nearer_splicer),
        (bool(limits & {"storage", "bend", "stack", "tray_count", "express"}), fewer_remakes),
        ("slot_kind" in limits, ribbons_split),
        (in_trays and rules.split != "free", bundles_divided),
        (in_trays, labels_given_up),
        (bool(limits & {"stack", "tray_count"}), lambda part: positions_added(part, limits)),
        (bool(limits & (PACKING | {"slot_kind", "bend", "sleeve_length"})), other_tray),
        (bool(limits & {"ports", "entries"}), port_kit),
        (in_trays, lambda part: larger_sleeves(part, verdict.demand)),
        (True, other_closure),
    ]
    found: list[Remedy] = []
    for wanted, way in ways:
        if wanted:
            part = replace(trial, nodes_left=max(trial.nodes_left // 3, 0))
            trial.nodes_left -= part.nodes_left
            found.extend(way(part))
            trial.nodes_left += max(part.nodes_left, 0)
    return found
