"""A plan for people, each form at a path of its own and by Accept at the plan's."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from flask import Blueprint, Response

from service.api.answers import json_answer
from service.api.dossiers import dossier_from
from service.api.plan_storing import PLAN_REVISION
from service.api.preconditions import has_already, tag
from service.api.state import parameter, state
from service.domain.dossier import Dossier
from service.sheets.drawing.plan_drawing import plan_svg
from service.store import StoredPlan

routes = Blueprint("plan_sheets", __name__)


class Form(NamedTuple):
    """A form of a plan: the ending of its file's name, its media type in full, and what writes it."""

    ending: str
    content_type: str
    write: Callable[[Dossier], bytes]


SVG = "image/svg+xml"
FORMS: Mapping[str, Form] = {SVG: Form("svg", SVG, plan_svg)}
"""The forms by media type."""


@routes.get("/v1/plans/<id>/drawing.svg")
def read_drawing(id: str) -> Response:
    """The drawing, laid out for paper or for a phone."""
    layout = parameter("layout")
    form = FORMS[SVG]
    if layout == "phone":
        form = Form("phone.svg", SVG, lambda dossier: plan_svg(dossier, "phone"))
    return _answered(state().store.plan(id), form)


def in_form(plan: StoredPlan, media_type: str) -> Response:
    """The plan in a form."""
    return _answered(plan, FORMS[media_type])


def _answered(plan: StoredPlan, form: Form) -> Response:
    """The sheet. The plan stays for ever, how it is shown does not: the tag has the service's version in it."""
    current = tag(f"{PLAN_REVISION}-{form.ending}-{state().spec.version}")
    if has_already(current):
        return Response(status=304, headers={"ETag": current})
    name = f'inline; filename="plan-{plan.id}.{form.ending}"'
    headers = {"ETag": current, "Content-Disposition": name}
    return json_answer(form.write(dossier_from(plan)), 200, headers, form.content_type)
