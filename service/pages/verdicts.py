"""The verdict on a request, as a page tells it: fit check and plan in one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import orjson

from service.api.bodies import allowed
from service.api.installations.additions import addition_planned
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

    def judged() -> Verdict:
        allowed("PlanRequest", document)
        check: dict[str, Any] = orjson.loads(make_fit_check({**document, "headroom": True})[0])
        return Verdict(check, orjson.loads(make_plan(document).answer))

    return _or_refused(judged)


def verdict_into(id: str, document: dict[str, Any]) -> Verdict:
    """Judge an addition to a hung closure as it is now: the plan with room for growth, and no other closure."""

    def judged() -> Verdict:
        asked = {**document, "headroom": True}
        return Verdict(plan=orjson.loads(addition_planned(id, allowed("AdditionRequest", asked), None)[1]))

    return _or_refused(judged)


def _or_refused(judged: Callable[[], Verdict]) -> Verdict:
    try:
        return judged()
    except Refused as refusal:
        return Verdict(errors=tuple(refused(refusal.faults).errors))
    except Problem as problem:
        if problem.status != 422:
            raise
        return Verdict(errors=tuple(problem.errors))
