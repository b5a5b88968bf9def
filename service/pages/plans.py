"""Plans: found by name, and one with all that follows from it."""

from __future__ import annotations

import orjson
from flask import Response

from service.api.plan_storing import stored_answer
from service.api.state import state
from service.pages.blueprint import routes
from service.pages.lists import newest, search_text
from service.pages.rendering import page
from service.pages.sheet_links import drawing_of, plan_sheets
from service.pages.splice_runs import runs_of

TRAYS_SHOWN = 24
LINES_SHOWN = 60
"""Trays and lines of splices that a page spells out; the schedule has them all."""


@routes.get("/plans")
def list_plans() -> Response:
    """The plans, the newest first, by a part of their names."""
    plans, following = newest(lambda limit, after, name: state().store.plans(limit, after, name=name))
    return page("plans.html", plans=plans, following=following, text=search_text())


@routes.get("/plans/<id>")
def read_plan(id: str) -> Response:
    """One plan."""
    plan = orjson.loads(stored_answer(state().store.plan(id)))
    shown, lines = [], 0
    for tray in plan.get("trays", ())[:TRAYS_SHOWN]:
        runs = runs_of(tray["splices"])
        shown.append((tray, runs[: max(0, LINES_SHOWN - lines)], len(runs)))
        lines += len(runs)
    cut = len(plan.get("trays", ())) > TRAYS_SHOWN or lines > LINES_SHOWN
    return page("plan.html", plan=plan, trays=shown, cut=cut, sheets=plan_sheets(id), drawing=drawing_of(id))
