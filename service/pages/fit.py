"""Will it fit? A form whose address is the answer, so that it can be passed on; and keeping the plan that follows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

from flask import Response, request

from service.api.bodies import allowed
from service.api.plan_storing import store_plan
from service.api.problems import Problem, refused
from service.api.state import state
from service.domain.faults import Refused
from service.pages.blueprint import routes
from service.pages.fit_request import Fields, Mistake, mistakes_of, request_of
from service.pages.fit_rows import Filled, filled
from service.pages.rendering import page, see, sent_key
from service.pages.verdicts import Verdict, verdict_on

_PICKED_FROM_A_LIST = 150
"""Options that a page may spell out: with more, cables are typed, and the browser suggests them from one list."""


@routes.get("/fit")
def check_fit() -> Response:
    """The form, and above it the verdict on what was filled in."""
    form = filled(request.args)
    fields = request_of(form, state().store.snapshot())
    if not request.args or "more" in request.args:
        return _shown(form, Verdict(), [])
    verdict = verdict_on(fields.document)
    return _answered(form, fields, verdict)


@routes.post("/fit")
def keep_plan() -> Response:
    """Plan what was filled in and keep the plan."""
    form = filled(request.form)
    fields = request_of(form, state().store.snapshot())
    try:
        allowed("PlanRequest", fields.document)
        answer = store_plan(fields.document, sent_key())
    except Refused as refusal:
        return _refused(form, fields, refused(refusal.faults))
    except Problem as problem:
        if not problem.errors:
            raise
        return _refused(form, fields, problem)
    return see(answer.headers["Location"].removeprefix("/v1"))


def _refused(form: Filled, fields: Fields, problem: Problem) -> Response:
    return _answered(form, fields, Verdict(errors=tuple(problem.errors)))


def _answered(form: Filled, fields: Fields, verdict: Verdict) -> Response:
    mistakes = mistakes_of(form, fields, verdict.errors)
    return _shown(form, verdict, mistakes, 422 if mistakes else 200, fields.document)


def _shown(
    form: Filled, verdict: Verdict, mistakes: list[Mistake], status: int = 200, document: dict[str, Any] | None = None
) -> Response:
    catalogue = state().store.snapshot()
    return page(
        "fit.html",
        status,
        form=form,
        check=verdict.check,
        plan=verdict.plan,
        mistakes=mistakes,
        beside=_beside(mistakes),
        asked=document,
        cables=sorted(catalogue.cables.values(), key=lambda cable: cable.code),
        closures=sorted(catalogue.closures.values(), key=lambda closure: closure.code),
        picked=form.cables * len(catalogue.cables) <= _PICKED_FROM_A_LIST,
        sent=_sent(form.texts),
        with_closure=lambda code: f"/fit?{urlencode({**_sent(form.texts), 'closure': code})}",
        key=uuid4().hex,
    )


def _beside(mistakes: list[Mistake]) -> dict[str, list[str]]:
    """The faults by their fields, each once."""
    found: dict[str, list[str]] = {}
    for mistake in mistakes:
        texts = found.setdefault(mistake.field or "", [])
        if mistake.text not in texts:
            texts.append(mistake.text)
    return found


def _sent(texts: Mapping[str, str]) -> dict[str, str]:
    """What was filled in, to be sent again; what was left blank is left out, which means the same."""
    unsent = ("key", "more", "form-token")
    blank_says_something = ("from-range-1", "to-range-1")
    return {name: text for name, text in texts.items() if name not in unsent and (text or name in blank_says_something)}
