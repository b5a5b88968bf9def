"""Planning a demand: a canonical request and a catalogue in, what is stored of it out. Pure but for the clock.

What a worker does with each demand of a chunk: plan it (``plan_demand``), or where few kinds of closure are asked for,
first tell what each closure would cost (``judge_demand``).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace

import orjson

from service.building.offers import APART, offer_written
from service.documents.plan import plan_to
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.faults import Fault, Refused
from service.domain.plan import Plan
from service.domain.records import Tally
from service.domain.request import PlanRequest
from service.domain.takeoff import DemandResult, Judged
from service.planning.closure_kinds.offers import offers_of
from service.planning.effort import faults_of_effort
from service.planning.joints import SPLICES_MOST, work_of
from service.planning.known_packings import KnownPackings
from service.planning.plan import check_fit, plan_splice_point

PACKINGS = KnownPackings()
"""What this process has packed: splice points of a build often come to the same trays, whatever else they ask for."""


def plan_demand(
    catalogue: Catalogue,
    number: int,
    request: bytes,
    chosen: Collection[str] | None = None,
    recorded: Sequence[Tally] = (),
    splices_most: int = SPLICES_MOST,
    clock: Callable[[], float] = time.perf_counter,
) -> DemandResult:
    """Plan a demand: the same document that one request for a plan is answered with, or its faults.

    ``chosen``: the closures chosen for the whole build. A demand that hangs in a closure already keeps it, whatever was
    chosen; one that names closures of its own, none of them chosen, is refused. ``recorded``: what splice records had
    taught when the takeoff was received.
    """
    began = clock()
    try:
        asked = request_from(orjson.loads(request))
        with PACKINGS.in_use():
            plan = plan_splice_point(_restricted(asked, chosen), catalogue, splices_most, recorded)
    except Refused as refusal:
        return DemandResult(number, None, faults=refusal.faults, seconds=clock() - began)
    answer = orjson.dumps(plan_to(plan))
    return DemandResult(
        number,
        plan.fits,
        plan.closure,
        plan.splices,
        len(plan.trays) if plan.fits else None,
        plan.proof.optimal if plan.fits and plan.proof else None,
        answer,
        seconds=clock() - began,
        uses=_uses(plan),
    )


def judge_demand(catalogue: Catalogue, number: int, request: bytes, splices_most: int = SPLICES_MOST) -> Judged:
    """What each closure that takes a demand would come to, as ``offers`` writes it.

    A demand that is refused, and one that hangs in a closure already, has no part in the choice: ``offers.APART``.
    """
    asked = request_from(orjson.loads(request))
    if asked.existing_trays:
        return Judged(number, APART)
    try:
        with PACKINGS.in_use():
            check = check_fit(replace(asked, headroom=False), catalogue, splices_most)
    except Refused:
        return Judged(number, APART)
    return Judged(
        number,
        {offer.closure: offer_written(offer) for offer in offers_of(check.candidates)},
    )


def faults_of_demand(catalogue: Catalogue, request: bytes, splices_most: int = SPLICES_MOST) -> tuple[Fault, ...]:
    """What planning would refuse a demand for: codes that are not there, ranges that cannot be meant."""
    asked = request_from(orjson.loads(request))
    try:
        work = work_of(asked, catalogue, splices_most)
    except Refused as refusal:
        return refusal.faults
    return tuple(faults_of_effort(work.splices, len(asked.closures or catalogue.closures)))


def _restricted(asked: PlanRequest, chosen: Collection[str] | None) -> PlanRequest:
    # Where nothing could be chosen, no closure takes any splice point: planned as asked, each says why.
    if not chosen or asked.existing_trays:
        return asked
    closures = tuple(code for code in (asked.closures or sorted(chosen)) if code in chosen)
    if not closures:
        told = ", ".join(sorted(chosen))
        detail = f"none of the closures named here is among the kinds chosen for the whole build: {told}"
        raise Refused([Fault("/closures", "not_chosen", detail)])
    return replace(asked, closures=closures)


def _uses(plan: Plan) -> tuple[str, ...]:
    return tuple(plan.revisions or ())
