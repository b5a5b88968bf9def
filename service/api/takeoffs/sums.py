"""What a finished takeoff needs, and what few kinds of closure cost it."""

from __future__ import annotations

from typing import Any

import orjson
from flask import Blueprint, Response, request

from service.api.answers import json_answer
from service.api.negotiation import chosen
from service.api.problems import Problem
from service.api.state import state
from service.building.adding_up import added_up
from service.building.material_rows import item_rows, point_rows
from service.documents.closure_kinds import kinds_from
from service.domain.takeoff import TakeoffStatus
from service.sheets.kinds_plot import kinds_plot
from service.sheets.materials_csv import materials_csv
from service.sheets.materials_workbook import materials_xlsx

routes = Blueprint("takeoff_sums", __name__)
JSON, CSV, SVG = "application/json", "text/csv", "image/svg+xml"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@routes.get("/v1/takeoffs/<id>/materials")
def read_materials(id: str) -> Response:
    """The items of all plans added up, in the form that the caller likes best."""
    kind = chosen(request.headers.get("Accept"), (JSON, CSV, XLSX))
    return {CSV: read_materials_csv, XLSX: read_materials_xlsx}.get(kind or JSON, _read_materials_json)(id)


def _read_materials_json(id: str) -> Response:
    takeoff = _finished(id)
    sums = added_up(state().store.takeoffs, takeoff.id)
    totals = sums["totals"]
    told = {"id": takeoff.id, "name": takeoff.name, "points": totals["fitting"], "items": sums["materials"]}
    return json_answer({**told, "sleeves": totals["sleeves"], "prices": totals["prices"]})


@routes.get("/v1/takeoffs/<id>/materials.csv")
def read_materials_csv(id: str) -> Response:
    """The items as a table."""
    sums = added_up(state().store.takeoffs, _finished(id).id)
    return Response(materials_csv(item_rows(sums["materials"])), content_type=f"{CSV}; charset=utf-8")


@routes.get("/v1/takeoffs/<id>/materials.xlsx")
def read_materials_xlsx(id: str) -> Response:
    """The items as a workbook, and what each splice point needs."""
    takeoffs, takeoff = state().store.takeoffs, _finished(id)
    items = item_rows(added_up(takeoffs, id)["materials"])
    book = materials_xlsx(takeoff.name, takeoff.created, items, point_rows(takeoffs, id))
    return Response(book, content_type=XLSX)


@routes.get("/v1/takeoffs/<id>/closure-kinds")
def read_closure_kinds(id: str) -> Response:
    """What was chosen, and what each further restriction costs, as a table or a plot."""
    if chosen(request.headers.get("Accept"), (JSON, SVG)) == SVG:
        return read_closure_kinds_plot(id)
    return json_answer(_choice(id)[1])


@routes.get("/v1/takeoffs/<id>/closure-kinds.svg")
def read_closure_kinds_plot(id: str) -> Response:
    """The same as a plot."""
    takeoff, document = _choice(id)
    return Response(kinds_plot(kinds_from(document), takeoff.name), content_type=SVG)


def _finished(id: str) -> TakeoffStatus:
    takeoff = state().store.takeoffs.get(id)
    if takeoff.state != "finished":
        raise _unfinished(f"The takeoff is {takeoff.state}; what it needs is known when it is finished.")
    return takeoff


def _choice(id: str) -> tuple[TakeoffStatus, dict[str, Any]]:
    takeoffs = state().store.takeoffs
    takeoff = takeoffs.get(id)
    if takeoff.closure_kinds_most is None:
        raise Problem("not-found", "This takeoff was not asked to do with few kinds of closure.")
    told = takeoffs.choice(id)
    if told is None:
        raise _unfinished("The kinds of closure are not chosen yet.")
    return takeoff, orjson.loads(told)


def _unfinished(detail: str) -> Problem:
    """The 409 problem of what is asked for too early."""
    return Problem("unfinished", detail, headers={"Retry-After": "1"})
