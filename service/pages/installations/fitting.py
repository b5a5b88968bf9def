"""Will it fit in here? More for a closure that hangs: asked by address, and kept as a plan.

What is recorded as done is always a plan that was kept, so that the record says what the crew saw.
"""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from flask import Response, request

from service.api.installations.additions import stored_addition
from service.api.plan_storing import replayed_plan
from service.api.state import state
from service.domain.installation import Installation
from service.pages.blueprint import routes
from service.pages.fit_request import Fields, Mistake, mistakes_of, request_of
from service.pages.fit_rows import Filled, filled
from service.pages.installations.hung import catalogue_of, joinable_first, shown
from service.pages.installations.sending import sent, somebody_was_there
from service.pages.installations.typed import revision_seen
from service.pages.rendering import page, see
from service.pages.splice_runs import runs_of
from service.pages.verdicts import Verdict, verdict_into

_UNSENT = ("key", "more", "revision", "then", "form-token")
_AGAIN = "Check again with what lies there now"
_PICKED_FROM_A_LIST = 150
"""As in the fit check of a new closure: so many options a page may spell out."""


@routes.get("/installations/<id>/fit")
def check_addition(id: str) -> Response:
    """The form, and above it the verdict on what was filled in."""
    installation = state().store.installations.get(id)
    form, fields = _asked(installation)
    if not request.args or "more" in request.args:
        return _shown(installation, form, fields, Verdict())
    return _shown(installation, form, fields, verdict_into(id, fields.document))


@routes.post("/installations/<id>/fit")
def keep_addition(id: str) -> Response:
    """Plan what was filled in and keep the plan; on from there to record it as done, where that was asked for."""
    installation = state().store.installations.get(id)
    form, fields = _asked(installation)
    document, expect = fields.document, revision_seen()
    outcome = sent(
        "AdditionRequest", document, lambda keyed: stored_addition(id, document, expect, False, keyed), replayed_plan
    )
    if outcome.answer is not None:
        plan = outcome.answer.headers["Location"].removeprefix("/v1")
        return see(f"{plan}/done" if request.form.get("then") == "done" else plan)
    if outcome.overtaken:
        return somebody_was_there(id, f"/installations/{id}/fit?{urlencode(_sent(form))}", _AGAIN)
    return _shown(installation, form, fields, Verdict(errors=outcome.errors))


def _asked(installation: Installation) -> tuple[Filled, Fields]:
    """The form that was sent, and the addition that it asks for."""
    form = filled(request.args if request.method == "GET" else request.form, joinable_first(installation))
    fields = request_of(form, catalogue_of(installation))
    fields.document.pop("closures", None)
    if installation.place.name:
        # So that the plan is found by the name of its closure.
        fields.document.setdefault("name", f"{installation.place.name[:180]}, addition")
    return form, fields


def _sent(form: Filled) -> dict[str, str]:
    return {name: text for name, text in form.texts.items() if name not in _UNSENT and text}


def _new(plan: dict[str, Any]) -> list[tuple[dict[str, Any], list[Any]]]:
    """The trays of a plan that new splices go to, with their runs."""
    return [(tray, runs_of(tray["splices"])) for tray in plan.get("trays", ()) if tray["splices"]]


def _shown(installation: Installation, form: Filled, fields: Fields, verdict: Verdict) -> Response:
    mistakes: list[Mistake] = mistakes_of(form, fields, verdict.errors)
    by_field: dict[str, list[str]] = {}
    for mistake in mistakes:
        texts = by_field.setdefault(mistake.field or "", [])
        if mistake.text not in texts:
            texts.append(mistake.text)
    catalogue = state().store.snapshot()
    return page(
        "fit_in.html",
        422 if mistakes else 200,
        form=form,
        hung=shown(installation),
        check=verdict.plan,
        trays=_new(verdict.plan) if verdict.plan else (),
        mistakes=mistakes,
        beside=by_field,
        asked=fields.document,
        address=f"/installations/{installation.id}/fit",
        cables=sorted(catalogue.cables.values(), key=lambda cable: cable.code),
        closures=(),
        picked=form.cables * len(catalogue.cables) <= _PICKED_FROM_A_LIST,
        sent=_sent(form),
        revision=installation.revision,
        key=uuid4().hex,
    )
