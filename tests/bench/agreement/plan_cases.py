"""Cases of whole plans: a request is planned, written as JSON, and judged from that alone."""

from __future__ import annotations

import json
from typing import Any

from service.documents.plan import plan_to
from service.domain.catalogue import Catalogue
from service.domain.request import PlanRequest
from service.planning.demand import demand_on
from service.planning.joints import cables_by_tag, work_of
from service.planning.packing import Problem
from service.planning.plan import plan_splice_point
from service.planning.stowage import Stowage
from service.verifying import verify
from tests.bench.agreement.comparing import compared, reference
from tests.bench.agreement.core_cases import SEED
from tests.bench.agreement.outcome import AGREED, NO_REFERENCE, NOT_PROVEN, Outcome
from tests.bench.agreement.requests import drawn_request
from tests.verifying.judge import broken_rules, packing_of, problem_of


def asked_of_the_core(request: PlanRequest, catalogue: Catalogue) -> Problem | None:
    """The packing problem of a request in its one closure; None where splices can lie in none of its trays."""
    work = work_of(request, catalogue)
    cables = {tag: cable for tag, (_, cable) in dict(cables_by_tag(request, catalogue)).items()}
    stowage = Stowage(request.rules, catalogue, cables)
    closure = catalogue.closures[request.closures[0]]
    return demand_on(closure, work, request.rules, catalogue, stowage, request.existing_trays).problem


def judged(family: str, case: int, small: bool, seconds: float) -> Outcome:
    """Plan, write, verify, and hold the packing that the JSON shows against a reference."""
    request, catalogue = drawn_request(f"{SEED + case}", small)
    plan: dict[str, Any] = json.loads(json.dumps(plan_to(plan_splice_point(request, catalogue))))
    report = verify(plan)
    wrong = [f"verifier: {breach.pointer}: {breach.text}" for breach in report.breaches]
    if not plan["fits"]:
        verdict, more = _refused(plan, request, catalogue, seconds)
        return Outcome(family, case, verdict, (*wrong, *more), None, plan["fits"])
    wrong += [f"judge: {text}" for text in broken_rules(plan)]
    problem = problem_of(plan)
    own = asked_of_the_core(request, catalogue)
    best, proven = reference(own if own is not None else problem, seconds)
    verdict, more = compared(problem, packing_of(plan, problem), best, proven)
    shown = report.bound == "re-proved" if report.bound != "not claimed" else None
    return Outcome(family, case, verdict, (*wrong, *more), shown, plan["fits"])


def _refused(plan: dict[str, Any], request: PlanRequest, catalogue: Catalogue, seconds: float) -> tuple[str, list[str]]:
    """Where the packing is what binds, nothing may fit for the reference either."""
    limits = {reason["limit"] for reason in plan["reasons"]}
    if "undecided" in limits:
        return NOT_PROVEN, []
    problem = asked_of_the_core(request, catalogue)
    if problem is None or limits & {"ports", "express", "capacity", "bend"}:
        return AGREED, []
    best, proven = reference(problem, seconds)
    if best is not None:
        return NOT_PROVEN, [f"the plan does not fit by {sorted(limits)}, and {best} does"]
    return (AGREED if proven else NO_REFERENCE), []


def small_point(case: int, seconds: float) -> Outcome:
    """A splice point small enough to try every packing; of those too large a general solver is the reference."""
    return judged("small splice points", case, True, seconds)


def larger_point(case: int, seconds: float) -> Outcome:
    """A splice point of the trade's size."""
    return judged("larger splice points", case, False, seconds)
