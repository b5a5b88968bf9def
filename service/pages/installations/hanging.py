"""Hanging the closure of a plan: where, when and by whom."""

from __future__ import annotations

from typing import Any

import orjson
from flask import Response

from service.api.installations.hanging import hung_closure, replayed_hanging
from service.api.installations.places import insist_on_both_coordinates
from service.api.plan_storing import stored_answer
from service.api.state import state
from service.pages.blueprint import routes
from service.pages.installations.sending import sent
from service.pages.installations.typed import Typed, beside, typed
from service.pages.rendering import page, see

_FIELDS = ("name", "place", "latitude", "longitude", "hung", "by", "note")


@routes.get("/plans/<id>/hang")
def ask_where(id: str) -> Response:
    """The form."""
    plan = orjson.loads(stored_answer(state().store.plan(id)))
    today = state().clock().date().isoformat()
    return _shown(id, Typed({"name": plan["name"], "hung": today}), {})


@routes.post("/plans/<id>/hang")
def hang(id: str) -> Response:
    """Record that the closure hangs."""
    form = typed()
    document: dict[str, Any] = {"plan": id, **form.document(_FIELDS)}
    if form.text("again"):
        document["again"] = True

    outcome = sent("HangingRequest", document, lambda keyed: _hung(document, keyed), replayed_hanging)
    if outcome.answer is not None:
        return see(outcome.answer.headers["Location"].removeprefix("/v1"))
    return _shown(id, form, beside(outcome.errors), 409 if outcome.kind == "hung-already" else 422)


def _hung(document: dict[str, Any], keyed: Any) -> Any:
    insist_on_both_coordinates(document)
    return hung_closure(document, keyed)


def _shown(id: str, form: Typed, faults: dict[str, list[str]], status: int = 200) -> Response:
    plan = orjson.loads(stored_answer(state().store.plan(id)))
    return page("hang.html", status, plan=plan, form=form, beside=faults, again=status == 409, key=form.key)
