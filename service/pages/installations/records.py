"""What was measured of a closure's splices, judged by the limits that are typed; and workbooks on their way in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from flask import Response, request

from service.api.installations.recording import record_workbook
from service.api.limits import limits_said
from service.api.problems import Problem
from service.api.state import state
from service.documents.acceptance import verdict_to
from service.domain.acceptance import FibreVerdict, SpliceVerdict
from service.domain.records import SpliceRecord
from service.pages.blueprint import routes
from service.pages.fit_rows import number_in
from service.pages.installations.typed import Typed
from service.pages.rendering import page, see, sent_key
from service.planning.recording.acceptance import judge_closure
from service.standards.acceptance import PRESETS

SPLICES_SHOWN = 80
LIMITS = ("splice_db", "one_way_db", "ribbon_mean_db")
_MOST_DB = 60
_FORM_PARTS = 20


@routes.get("/installations/<id>/records")
def read_records(id: str) -> Response:
    """The records of the splices that lie there, each judged by its last one; those that fail first."""
    installation = state().store.installations.get(id)
    form = Typed(request.args)
    said, faults = _limits(form)
    limits = limits_said(said)
    numbers = {splice.number for splice in installation.contents.splices}
    records = {each.splice: each for each in state().store.records.of(id) if each.splice in numbers}
    verdict = judge_closure(records.values(), limits, sorted(numbers))
    ordered = sorted(verdict.splices, key=lambda each: (each.good is not False, each.splice))
    return page(
        "records.html",
        422 if faults else 200,
        hung=installation,
        verdict=verdict_to(verdict, limits),
        asked=bool(said),
        lines=[_line(each, records[each.splice]) for each in ordered[:SPLICES_SHOWN]],
        measured=len(ordered),
        more=len(ordered) - SPLICES_SHOWN,
        presets=[("", "None"), *((preset.name, preset.title) for preset in PRESETS.values())],
        source=PRESETS[said["preset"]].source.text if "preset" in said else "",
        form=form,
        beside=faults,
        key=uuid4().hex,
    )


@routes.post("/installations/<id>/records")
def send_workbook(id: str) -> Response:
    """Take the workbook of a plan as the crew filled it in; what is wrong with it is told by sheet and cell."""
    installation = state().store.installations.get(id)
    request.max_form_parts = _FORM_PARTS
    file = request.files.get("file")
    if file is None or not file.filename:
        return _refused(id, [{"detail": "Choose the workbook to be sent."}])
    try:
        record_workbook(installation, file.stream.read(), sent_key())
    except Problem as problem:
        if not problem.errors:
            raise
        return _refused(id, problem.errors)
    return see(f"/installations/{id}/records")


def _refused(id: str, errors: list[dict[str, Any]]) -> Response:
    faults = []
    for error in errors:
        _, _, place = error.get("pointer", "").partition("/")
        sheet, _, cell = place.partition("/")
        detail = str(error["detail"])
        text = detail[:1].upper() + detail[1:] + ("" if detail.endswith((".", "?", "!")) else ".")
        faults.append((f"{sheet}, cell {cell}" if cell else "", text))
    installation = state().store.installations.get(id)
    return page("workbook_refused.html", 422, hung=installation, faults=faults, key=uuid4().hex)


def _limits(form: Typed) -> tuple[dict[str, Any], dict[str, list[str]]]:
    """The limits that are typed, and what is wrong with them beside their fields."""
    said: dict[str, Any] = {}
    faults: dict[str, list[str]] = {}
    if form.text("preset"):
        if form.text("preset") in PRESETS:
            said["preset"] = form.text("preset")
        else:
            faults["preset"] = ["There are no published limits of this name."]
    for name in LIMITS:
        if form.text(name):
            value = number_in(form.text(name))
            if isinstance(value, str) or not 0 <= value <= _MOST_DB:
                faults[name] = [f"A loss is a number of dB from 0 to {_MOST_DB}, such as 0.1."]
            else:
                said[name] = value
    return said, faults


def _line(verdict: SpliceVerdict, record: SpliceRecord) -> Mapping[str, Any]:
    """What a line says of a splice: its verdict, the figure that is worst, and how often it was made again."""
    worst = max(verdict.fibres, key=lambda each: (each.good is False, each.loss_db), default=None)
    return {"verdict": verdict, "record": record, "worst": worst, "told": _told(worst) if worst else ""}


def _told(worst: FibreVerdict) -> str:
    fibre = f"fibre {worst.fibre}" if worst.fibre is not None else "the splice as a whole"
    at = f" at {worst.wavelength_nm} nm" if worst.wavelength_nm is not None else ""
    basis = {"two_way": "both ways", "one_way": "one way", "estimated": "estimated by the splicer", "measured": ""}
    rest = basis[worst.basis]
    return f"{fibre}{at}{', ' + rest if rest else ''}"
