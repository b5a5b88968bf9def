"""From a request document to the bytes of an answer: read, plan, write. The hot path of the service."""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import Any

import orjson

from service.api.state import state
from service.documents.plan import fit_check_to, plan_to
from service.documents.request import request_from
from service.domain.plan import Plan
from service.domain.request import PlanRequest
from service.planning.plan import check_fit, plan_splice_point
from service.store import Snapshot


@dataclass(frozen=True, slots=True)
class MadePlan:
    """A plan, the catalogue that it was made from, its answer without id and time, and how long it took."""

    plan: Plan
    snapshot: Snapshot
    answer: bytes
    seconds: float


def make_plan(document: Any) -> MadePlan:
    """Plan a schema-valid request document. Raises ``Refused``."""
    return plan_of(request_from(document), state().store.snapshot(), "createPlan")


def plan_of(request: PlanRequest, snapshot: Snapshot, operation: str) -> MadePlan:
    """Plan a request from a catalogue, for the operation of this name. Raises ``Refused``."""
    recorded = state().store.records.tallies() if request.rules.rework == "recorded" else ()
    start = time.perf_counter()
    plan = plan_splice_point(request, snapshot, state().settings.max_splices, recorded)
    seconds = time.perf_counter() - start
    state().metrics.plan_seconds.labels(operation).observe(seconds)
    if plan.fits and plan.proof is not None and not plan.proof.optimal:
        state().metrics.proofs_missed.labels(operation).inc()
    return MadePlan(plan, snapshot, orjson.dumps(plan_to(plan)), seconds)


def make_fit_check(document: Any) -> tuple[bytes, float]:
    """Check a schema-valid request document: the answer, and the seconds it took. Raises ``Refused``."""
    request = request_from(document)
    snapshot = state().store.snapshot()
    start = time.perf_counter()
    check = check_fit(request, snapshot, state().settings.max_splices)
    seconds = time.perf_counter() - start
    state().metrics.plan_seconds.labels("checkFit").observe(seconds)
    return orjson.dumps(fit_check_to(check)), seconds


def server_timing(seconds: float) -> dict[str, str]:
    """The header that says how long planning took."""
    return {"Server-Timing": f"plan;dur={seconds * 1000:.3f}"}
