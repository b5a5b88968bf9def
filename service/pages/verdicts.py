"""The verdict on a request, as a page tells it: fit check and plan in one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import orjson

from service.api.bodies import allowed
from service.api.plan_making import make_fit_check, make_plan
from service.api.problems import Problem, refused
from service.domain.faults import Refused


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answers of fit check and plan as documents; ``errors`` where the request was refused: then there are none."""

    check: dict[str, Any] | None = None
    plan: dict[str, Any] | None = None
    errors: tuple[dict[str, Any], ...] = ()


def verdict_on(document: dict[str, Any]) -> Verdict:
    """Judge a request document: every candidate closure, room for growth, and the plan with its remedies."""
    try:
        allowed("PlanRequest", document)
        check: dict[str, Any] = orjson.loads(make_fit_check({**document, "headroom": True})[0])
        plan: dict[str, Any] = orjson.loads(make_plan(document).answer)
    except Refused as refusal:
        return Verdict(errors=tuple(refused(refusal.faults).errors))
    except Problem as problem:
        if problem.status != 422:
            raise
        return Verdict(errors=tuple(problem.errors))
    return Verdict(check, plan)
