"""Hanging the closure of a plan: where, when and by whom."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

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
from service.store import HungAlready

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
    try:
        outcome = sent("HangingRequest", document, lambda keyed: _hung(document, keyed), replayed_hanging)
    except HungAlready as error:
        return _shown(id, form, {}, error)
    if outcome.answer is not None:
        return see(outcome.answer.headers["Location"].removeprefix("/v1"))
    return _shown(id, form, beside(outcome.errors))


def _hung(document: dict[str, Any], keyed: Any) -> Any:
    insist_on_both_coordinates(document)
    return hung_closure(document, keyed)


def _shown(id: str, form: Typed, faults: dict[str, list[str]], hung: HungAlready | None = None) -> Response:
    """The form; ``hung`` is the closure that hangs by this plan already, which has to be confirmed."""
    plan = orjson.loads(stored_answer(state().store.plan(id)))
    status = 409 if hung else 422 if faults else 200
    # A key stands for one body: with the box ticked it is another one.
    key = form.key if hung is None else uuid4().hex
    return page("hang.html", status, plan=plan, form=form, beside=faults, hung=hung, key=key)
