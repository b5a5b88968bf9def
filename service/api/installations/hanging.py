"""Hanging a closure: from a stored plan that fits, once."""

from __future__ import annotations

import uuid
from typing import Any

import orjson
from flask import Blueprint, Response

from service.api.answers import tagged
from service.api.bodies import read_body
from service.api.installations.answering import told
from service.api.installations.once import Keyed, once
from service.api.installations.places import insist_on_both_coordinates
from service.api.state import state
from service.documents.plan_reading import plan_from
from service.documents.request import request_from
from service.documents.visit_request import place_from, visit_said
from service.domain.faults import Fault, Refused
from service.domain.installation import Installation
from service.planning.hanging.laying import first_contents
from service.planning.visiting import visit_between
from service.store import NotFound, StoredAnswer, StoredPlan

routes = Blueprint("hanging", __name__)


@routes.post("/v1/installations")
def hang_closure() -> Response:
    """Record that the closure of a plan hangs."""
    document = read_body("HangingRequest")
    insist_on_both_coordinates(document)
    return once(document, lambda keyed: hung_closure(document, keyed), replayed_hanging)


def hung_closure(document: dict[str, Any], keyed: Keyed) -> Response | StoredAnswer:
    """Store the closure that a schema-valid document hangs."""
    store, now = state().store, state().clock()
    plan = _plan(document["plan"])
    request = request_from(orjson.loads(plan.request))
    catalogue = store.catalogue_of(plan)
    # As many splices as were planned then, whatever the bound is by now.
    contents = first_contents(plan_from(orjson.loads(plan.answer)), request, catalogue, plan.splices)
    said = visit_said(document, now.date(), "hung")
    place = place_from(document, plan.name)
    installation = Installation(uuid.uuid4().hex, now, 1, place, said.on, contents)
    visit = visit_between("hung", None, contents, said.on, now, said.by, said.note, plan.id)
    body, tag = told(installation)
    key = keyed(201, now, body)
    taken = store.installations.hang(installation, visit, document.get("again", False), key)
    return tagged(body, tag, 201, {"Location": f"/v1/installations/{installation.id}"}) if taken is None else taken


def _plan(plan_id: str) -> StoredPlan:
    """The plan to hang; raises ``Refused`` for one that is not there, does not fit, or is for a closure that hangs."""
    try:
        plan = state().store.plan(plan_id)
    except NotFound:
        raise Refused([Fault("/plan", "unknown_plan", f"There is no plan {plan_id}.")]) from None
    if not plan.fits:
        raise Refused([Fault("/plan", "does_not_fit", "This plan does not fit: nothing can hang by it.")])
    if orjson.loads(plan.request).get("existing_trays"):
        detail = "This plan adds to a closure that hangs already: record it as an addition to that one."
        raise Refused([Fault("/plan", "existing_trays", detail)])
    return plan


def replayed_hanging(earlier: StoredAnswer) -> Response:
    """The answer to a hanging as its key has it."""
    body = earlier.body or b"{}"
    return tagged(body, orjson.loads(body)["revision"], 201, {"Location": f"/v1/installations/{earlier.plan_id}"})
