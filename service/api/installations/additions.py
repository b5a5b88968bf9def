"""Additions: more cables and splices planned into a closure that hangs, kept, and recorded as done."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, NamedTuple

from flask import Blueprint, Response

from service.api.answers import json_answer, tagged
from service.api.bodies import read_body
from service.api.installations.answering import expected_if_said
from service.api.installations.once import Keyed, once
from service.api.plan_making import MadePlan, plan_of, server_timing
from service.api.plan_storing import PLAN_REVISION, new_plan, replayed_plan, stored_answer, with_installation
from service.api.problems import Problem, bad_parameters
from service.api.state import parameter, state
from service.documents.addition import addition_from
from service.documents.request import request_from, request_to
from service.documents.visit_request import visit_said
from service.domain.addition import AdditionRequest
from service.domain.faults import Fault, Refused
from service.domain.installation import Installation
from service.domain.installation_summary import PlannedFor
from service.domain.request import PlanRequest
from service.planning.hanging.adding import addition_request
from service.planning.hanging.laying import after_addition
from service.planning.visiting import visit_between
from service.store import AdditionPlan, Change, Expectation, NewPlan, Snapshot, StoredAnswer, as_hung

routes = Blueprint("additions", __name__)


@routes.post("/v1/installations/<id>/additions")
def add_to_installation(id: str) -> Response:
    """Plan an addition; store the plan unless told not to, and record it as done where told to."""
    if parameter("apply") and not parameter("store"):
        raise bad_parameters([("apply", "contradiction", "What is recorded as done is stored: leave out store=false.")])
    expect = expected_if_said()
    document = read_body("AdditionRequest")
    if parameter("store"):
        apply = parameter("apply")
        return once(document, lambda keyed: stored_addition(id, document, expect, apply, keyed), replayed_plan)
    made, answer = addition_planned(id, document, expect)
    return json_answer(answer, headers=server_timing(made.seconds))


def addition_planned(id: str, document: dict[str, Any], expect: Expectation | None) -> tuple[MadePlan, bytes]:
    """Plan a schema-valid addition and keep nothing: the plan, and its answer that says what it was made for."""
    into = state().store.installations.get(id, expect)
    made = _planned(into, document).made
    return made, with_installation(made.answer, PlannedFor(into.id, into.revision))


def stored_addition(
    id: str, document: dict[str, Any], expect: Expectation | None, apply: bool, keyed: Keyed
) -> Response | StoredAnswer:
    """Plan a schema-valid addition and store the plan; ``apply`` records it as done in the same transaction."""
    store = state().store.installations
    into = store.get(id, expect)
    planned = _planned(into, document)
    made = planned.made
    plan = new_plan(made, planned.document)
    change = _carried_out(into, planned, plan, document) if apply else None
    addition = AdditionPlan(plan, into, frozenset(made.plan.revisions or ()))
    taken = store.keep_plan(addition, change, expect, keyed(201, plan.created, None))
    if taken is not None:
        return taken
    made_for = PlannedFor(into.id, into.revision, change.visit.number if change else None)
    headers = {**server_timing(made.seconds), "Location": f"/v1/plans/{plan.id}"}
    return tagged(stored_answer(replace(plan, planned_for=made_for)), PLAN_REVISION, 201, headers)


class _Planned(NamedTuple):
    """An addition planned: its plan, and the whole plan request that it answers, also as it is stored."""

    made: MadePlan
    request: PlanRequest
    document: dict[str, Any]


def _planned(into: Installation, document: dict[str, Any]) -> _Planned:
    """Plan an addition; raises ``Refused`` with places in the addition.

    What is planned and stored is a whole plan request, so that it can be planned again without the installation.
    """
    snapshot, asked = state().store.snapshot(), addition_from(document)
    _insist_in_use(asked, snapshot)
    catalogue = as_hung(snapshot, into.contents)
    whole = request_to(addition_request(into.contents, asked, catalogue, state().settings.max_splices))
    request = request_from(whole)
    return _Planned(plan_of(request, catalogue, "createAddition"), request, whole)


def _insist_in_use(asked: AdditionRequest, snapshot: Snapshot) -> None:
    """Raise ``Refused`` where a new cable is of a retired entry: what hangs may be of one, what is brought may not."""
    faults = [
        Fault(f"/cables/{place}/cable", "retired", f"{cable.cable!r} is retired; choose an entry in use")
        for place, cable in enumerate(asked.cables)
        if f"cables/{cable.cable}" in snapshot.retired
    ]
    if faults:
        raise Refused(faults)


def _carried_out(into: Installation, planned: _Planned, plan: NewPlan, document: dict[str, Any]) -> Change:
    """What carrying out the plan makes of the installation; raises the 409 problem where it does not fit."""
    made = planned.made
    if not made.plan.fits:
        errors = ({"pointer": "", "code": reason.limit, "detail": reason.text} for reason in made.plan.reasons)
        raise Problem("does-not-fit", "The addition does not fit as it stands; nothing was stored.", errors)
    contents = after_addition(into.contents, made.plan, planned.request, made.snapshot, made.plan.splices)
    said = visit_said(document, plan.created.date())
    visit = visit_between("added", into.contents, contents, said.on, plan.created, said.by, said.note, plan.id)
    return Change(into, replace(into, revision=into.revision + 1, contents=contents), visit)
