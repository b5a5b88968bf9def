"""Splice records of a hung closure: sent as JSON or as the filled-in workbook, and listed."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import orjson
from flask import Blueprint, Response, request

from service.api.answers import json_answer
from service.api.bodies import allowed, body_bytes, media_type, read_body
from service.api.installations.filled_workbook import Cells, read_workbook
from service.api.installations.once import Keyed, once_by
from service.api.limits import limits_said
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.state import parameter, state
from service.documents.acceptance import verdict_to
from service.documents.records_said import record_said, record_told
from service.documents.rework import recorded_to
from service.domain.acceptance import Limits
from service.domain.faults import Fault, Refused
from service.domain.installation import Installation
from service.domain.records import SpliceRecord
from service.planning.recording.acceptance import judge_closure
from service.planning.recording.checking import faults_of_records
from service.planning.recording.learning import tallied
from service.planning.recording.lying import forms_of
from service.planning.recording.rates import rates_of
from service.store import StoredAnswer, as_hung

routes = Blueprint("splice_records", __name__)
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@routes.post("/v1/installations/<id>/splice-records")
def record_splices(id: str) -> Response:
    """Add records of splices that lie there, all of them or none, and say whether they are good enough."""
    installation, key = state().store.installations.get(id), request.headers.get("Idempotency-Key")
    if media_type("application/json", XLSX) == XLSX:
        return record_workbook(installation, body_bytes(), key)
    return _recorded(installation, read_body("SpliceRecordsRequest"), None, key)


def record_workbook(installation: Installation, content: bytes, key: str | None) -> Response:
    """Add the records of a filled-in workbook, once for a key; what is wrong with it is told by sheet and cell."""
    cells = read_workbook(installation, content)
    return _recorded(installation, allowed("SpliceRecordsRequest", cells.document), cells, key)


def _recorded(installation: Installation, document: dict[str, Any], cells: Cells | None, key: str | None) -> Response:
    def work(keyed: Keyed) -> Response | StoredAnswer:
        now = state().clock()
        limits = limits_said(document.get("limits", {}))
        if cells is None:
            records = _records(installation, document, now)
        else:
            records = cells.told(lambda: _records(installation, document, now))
        body = orjson.dumps(_answer(records, limits, installation))
        taken = state().store.records.add(records, keyed(201, now, body), installation.id)
        return _created(body, installation.id) if taken is None else taken

    return once_by(key, document, work, lambda earlier: _created(earlier.body or b"{}", installation.id))


def _records(installation: Installation, document: dict[str, Any], now: datetime) -> list[SpliceRecord]:
    """The records that were sent; raises ``Refused`` with every one that cannot be of a splice that lies there."""
    contents = installation.contents
    lying = {splice.number: splice for splice in contents.splices}
    forms = forms_of(contents, as_hung(state().store.snapshot(), contents))
    records, faults, places = [], [], []
    for place, each in enumerate(document["records"]):
        splice = lying.get(each["splice"])
        form = forms.get(each["splice"])
        if splice is None or form is None:
            detail = f"no splice of number {each['splice']} lies in this closure"
            faults.append(Fault(f"/records/{place}/splice", "unknown_splice", detail))
            continue
        places.append(place)
        records.append(record_said(each, document, installation.id, form, splice.fibres, now))
    faults += [_as_sent(fault, places) for fault in faults_of_records(records, "/records")]
    if faults:
        raise Refused(faults)
    return records


def _as_sent(fault: Fault, places: list[int]) -> Fault:
    """The fault under the names and numbers that the caller used."""
    _, head, number, *rest = fault.pointer.split("/")
    inside = "/".join(rest).replace("measurements", "losses")
    return Fault(f"/{head}/{places[int(number)]}/{inside}", fault.code, fault.detail)


def _answer(records: list[SpliceRecord], limits: Limits, installation: Installation) -> dict[str, Any]:
    rates = rates_of(tallied(records), list(state().store.snapshot().methods.values()))
    return {
        "recorded": len(records),
        "acceptance": verdict_to(judge_closure(records, limits), limits),
        "of_these": [recorded_to(rate) for rate in rates if rate.joints],
    }


def _created(body: bytes, installation_id: str) -> Response:
    return json_answer(body, 201, {"Location": f"/v1/installations/{installation_id}/splice-records"})


@routes.get("/v1/installations/<id>/splice-records")
def read_records(id: str) -> Response:
    """A page of the records, by splice and as they came."""
    store, limit, cursor = state().store, parameter("limit"), parameter("cursor")
    store.installations.get(id)
    scope = scope_of(request.path, {})
    after = None
    if cursor:
        splice, number = read_cursor(store.cursor_key(), scope, cursor)
        after = int(splice), int(number)
    found = store.records.page(id, limit + 1, after)
    items = [record_told(*each) for each in found[:limit]]
    if len(found) <= limit:
        return json_answer({"items": items, "next": None})
    last = found[limit - 1]
    following = write_cursor(store.cursor_key(), scope, [str(last.record.splice), str(last.number)])
    link = next_link(request.path, {}, limit, following)
    return json_answer({"items": items, "next": following}, headers={"Link": link})


@routes.get("/v1/installations/<id>/acceptance")
def read_acceptance(id: str) -> Response:
    """Whether the splices that lie there are good enough by the limits that are asked for."""
    names = ("preset", "splice_db", "one_way_db", "ribbon_mean_db")
    said = {name: parameter(name) for name in names if parameter(name) is not None}
    limits = limits_said(said, in_query=True)
    installation = state().store.installations.get(id)
    numbers = {splice.number for splice in installation.contents.splices}
    records = [record for record in state().store.records.of(id) if record.splice in numbers]
    return json_answer(verdict_to(judge_closure(records, limits, sorted(numbers)), limits))
