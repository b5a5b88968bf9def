"""Recording that a plan into a hung closure was carried out, from the page of the plan."""

from __future__ import annotations

from typing import Any

import orjson
from flask import Response

from service.api.installations.answering import replayed_installation
from service.api.installations.carrying_out import recorded_visit
from service.api.plan_storing import stored_answer
from service.api.state import state
from service.pages.blueprint import routes
from service.pages.installations.sending import sent, somebody_was_there
from service.pages.installations.typed import VISIT, Typed, beside, revision_seen, typed
from service.pages.rendering import page, see
from service.pages.splice_runs import runs_of
from service.store import NotFound


@routes.get("/plans/<id>/done")
def confirm_done(id: str) -> Response:
    """What would be recorded, and who did it when."""
    return _shown(_plan(id), Typed({"on": state().clock().date().isoformat()}), {})


@routes.post("/plans/<id>/done")
def record_done(id: str) -> Response:
    """Record it."""
    plan, form, expect = _plan(id), typed(), revision_seen()
    into = plan["installation"]["id"]
    document = {"plan": id, **form.document(VISIT)}
    outcome = sent(
        "VisitRequest", document, lambda keyed: recorded_visit(into, document, expect, keyed), replayed_installation
    )
    if outcome.answer is not None:
        return see(f"/installations/{into}")
    if outcome.overtaken:
        return somebody_was_there(into, f"/plans/{id}/done", "Look at this plan again")
    return _shown(plan, form, beside(outcome.errors))


def _plan(id: str) -> dict[str, Any]:
    """The plan; raises ``NotFound`` also for one that is not into a hung closure."""
    plan: dict[str, Any] = orjson.loads(stored_answer(state().store.plan(id)))
    if "installation" not in plan:
        raise NotFound(f"The plan {id} adds to no installation.")
    return plan


def _shown(plan: dict[str, Any], form: Typed, faults: dict[str, list[str]]) -> Response:
    hung = state().store.installations.get(plan["installation"]["id"])
    trays = [(tray, runs_of(tray["splices"])) for tray in plan.get("trays", ()) if tray["splices"]]
    status = 422 if faults else 200
    return page("plan_done.html", status, plan=plan, hung=hung, trays=trays, form=form, beside=faults, key=form.key)
