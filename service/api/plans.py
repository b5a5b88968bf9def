"""Plans: make one, list them, read one, remove one."""

from __future__ import annotations

from datetime import UTC

from flask import Blueprint, Response, request

from service.api.answers import json_answer, nothing, read_answer
from service.api.bodies import read_body
from service.api.negotiation import chosen
from service.api.newest_first import newest_first
from service.api.plan_making import make_plan, server_timing
from service.api.plan_sheets import BY_ACCEPT, in_form
from service.api.plan_storing import PLAN_REVISION, store_plan, stored_answer
from service.api.preconditions import expected
from service.api.state import parameter, state
from service.store import PlanSummary, Revision, Stale

routes = Blueprint("plans", __name__)
_FILTERS = ("closure", "fits", "name", "created_from", "created_before")


@routes.post("/v1/plans")
def create_plan() -> Response:
    """Plan a splice point, and store the plan unless told not to."""
    document = read_body("PlanRequest")
    if parameter("store"):
        return store_plan(document, request.headers.get("Idempotency-Key"))
    made = make_plan(document)
    return json_answer(made.answer, headers=server_timing(made.seconds))


@routes.get("/v1/plans")
def read_list() -> Response:
    """A page of the stored plans, the newest first."""
    filters = {name: parameter(name) for name in _FILTERS}
    return newest_first(filters, lambda limit, after: state().store.plans(limit, after, *filters.values()), _summary)


@routes.get("/v1/plans/<id>")
def read_plan(id: str) -> Response:
    """One stored plan, in the form that is accepted."""
    media_type = chosen(request.headers.get("Accept"), ("application/json", *BY_ACCEPT))
    if media_type is not None and media_type in BY_ACCEPT:
        return in_form(id, BY_ACCEPT[media_type])
    return read_answer(stored_answer(state().store.plan(id)), PLAN_REVISION)


@routes.delete("/v1/plans/<id>")
def delete_plan(id: str) -> Response:
    """Remove one stored plan."""
    expect = expected()
    state().store.plan(id)
    if isinstance(expect, Revision) and PLAN_REVISION not in (expect.number, *expect.others):
        raise Stale("The plan has another revision.", PLAN_REVISION)
    state().store.delete_plan(id)
    return nothing()


def _summary(plan: PlanSummary) -> dict[str, object]:
    return {
        "id": plan.id,
        "name": plan.name,
        "created": f"{plan.created.astimezone(UTC):%Y-%m-%dT%H:%M:%S.%f}Z",
        "fits": plan.fits,
        "closure": plan.closure,
        "splices": plan.splices,
        "trays": plan.trays,
        "optimal": plan.optimal,
    }
