"""Carrying out a stored plan: what was printed and built is what is recorded, whatever the catalogue says by now."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import orjson
from flask import Blueprint, Response

from service.api.answers import tagged
from service.api.bodies import read_body
from service.api.installations.answering import expected_if_said, replayed_installation, told
from service.api.installations.once import Keyed, once
from service.api.problems import Problem
from service.api.state import state
from service.documents.plan_reading import plan_from
from service.documents.request import request_from
from service.documents.visit_request import visit_said
from service.domain.faults import Fault, Refused
from service.domain.installation import Contents
from service.planning.hanging.laying import after_addition
from service.planning.visiting import visit_between
from service.store import Change, Expectation, NotFound, StoredAnswer, StoredPlan

routes = Blueprint("carrying_out", __name__)


@routes.post("/v1/installations/<id>/visits")
def record_visit(id: str) -> Response:
    """Record that a stored plan into the closure was carried out."""
    expect = expected_if_said()
    document = read_body("VisitRequest")
    return once(document, lambda keyed: recorded_visit(id, document, expect, keyed), replayed_installation)


def recorded_visit(
    id: str, document: dict[str, Any], expect: Expectation | None, keyed: Keyed
) -> Response | StoredAnswer:
    """Record that the plan of a schema-valid document was carried out."""
    store, now = state().store.installations, state().clock()
    before = store.get(id, expect)
    plan = _plan(document["plan"], id)
    contents = _after(before.contents, plan)
    said = visit_said(document, now.date())
    visit = visit_between("added", before.contents, contents, said.on, now, said.by, said.note, plan.id)
    after = replace(before, revision=before.revision + 1, contents=contents)
    body, tag = told(after)
    taken = store.carry_out(plan.id, Change(before, after, visit), expect, keyed(200, now, body))
    return tagged(body, tag) if taken is None else taken


def _plan(plan_id: str, id: str) -> StoredPlan:
    """The plan; raises ``Refused`` where it is none into this closure, and the 409 problem where it was recorded."""
    try:
        plan = state().store.plan(plan_id)
    except NotFound:
        raise Refused([Fault("/plan", "unknown_plan", f"There is no plan {plan_id}.")]) from None
    if plan.planned_for is None or plan.planned_for.installation != id:
        raise Refused([Fault("/plan", "other_closure", "This plan was not made for this closure.")])
    if not plan.fits:
        raise Refused([Fault("/plan", "does_not_fit", "This plan does not fit: it cannot have been carried out.")])
    if plan.planned_for.visit is not None:
        detail = f"Visit {plan.planned_for.visit} recorded this plan."
        raise Problem("recorded-already", detail, [{"pointer": "/plan", "code": "recorded", "detail": detail}])
    return plan


def _after(before: Contents, plan: StoredPlan) -> Contents:
    """What the plan makes of the closure; raises the 409 problem where it is not as it was when it was planned."""
    request, catalogue = request_from(orjson.loads(plan.request)), state().store.catalogue_of(plan)
    try:
        return after_addition(before, plan_from(orjson.loads(plan.answer)), request, catalogue, plan.splices)
    except Refused as refused:
        if any(fault.code == "changed" for fault in refused.faults):
            detail = "What lies in the closure has changed since this plan was made. Plan it again."
            raise Problem("changed-meanwhile", detail) from None
        raise
