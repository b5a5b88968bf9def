"""Receiving a takeoff over HTTP, once however often it is sent."""

from __future__ import annotations

import uuid
from typing import Any

from flask import Response, request

from service.api.answers import tagged
from service.api.bodies import body_stream, is_packed, media_type, read_body
from service.api.keys import in_flight, insist_on_body, key_of
from service.api.problems import FAULTS_SHOWN, Problem, bad_parameters
from service.api.state import parameter, state
from service.api.takeoffs.point_checks import PointChecks
from service.api.takeoffs.sources import Head, Lines, Source, Whole
from service.api.takeoffs.status import status_document, status_revision
from service.building.demands import faults_of_demand
from service.building.placeholders import run_in
from service.building.reading import Reading
from service.building.receiving import PointsRefused, receive
from service.domain.faults import Fault
from service.domain.takeoff import NewTakeoff
from service.store import NotFound, StoredAnswer

LINES = "application/x-ndjson"
_JSON_TIMES = 4
"""A takeoff in one document may be so many times as large as other bodies."""


def receive_takeoff(source: Source) -> Response:
    """Receive a takeoff and let the work on it begin, or repeat the answer that the request's key has had."""
    key = request.headers.get("Idempotency-Key")
    if key is None:
        return _answer(received(source, None, None))
    with in_flight(key):
        earlier = state().store.idempotent(key)
        if earlier is not None:
            return _replayed(earlier, source)
        taken = received(source, key, source.digest)
        return _answer(taken) if isinstance(taken, str) else _replayed(taken, source)


def sent_source() -> Source:
    """The takeoff in this request, as JSON or as lines."""
    strict: bool = parameter("strict")
    settings = state().settings
    if media_type("application/json", LINES) == LINES:
        request.max_content_length = settings.takeoff_limit
        head = Head(parameter("name") or "", tags_told(parameter("tags")), parameter("closure_kinds"), strict)
        length = request.content_length
        if length is None and request.environ.get("wsgi.input_terminated"):
            # One process counts what came in chunks; of the others' server nobody learns whether all chunks came.
            raise Problem("length-required", "Send the lines with a Content-Length, or to a server of one process.")
        # What is packed says itself where it ends.
        return Lines(body_stream(), 0 if is_packed() else length or 0, head, settings.body_limit)
    given = [name for name in ("name", "tags", "closure_kinds") if parameter(name) is not None]
    if given:
        raise bad_parameters([(name, "contradiction", "A JSON body says this itself.") for name in given])
    request.max_content_length = _JSON_TIMES * settings.body_limit
    return Whole(read_body("TakeoffRequest"), strict)


def tags_told(text: str | None) -> dict[str, str]:
    """Tags out of ``area:north,phase:2``, whose form the description has checked."""
    pairs = [part.split(":", 1) for part in text.split(",")] if text else []
    tags = {name: value for name, value in pairs}  # noqa: C416 - pairs are lists, which dict() is not typed to take
    if len(tags) < len(pairs):
        raise bad_parameters([("tags", "duplicate", "A tag stands here twice.")])
    return tags


def received(source: Source, key: str | None, digest: Any) -> str | StoredAnswer:
    """Receive and start; the takeoff's id, or the answer that another request with the key has had meanwhile."""
    shared = state()
    store, settings, head = shared.store, shared.settings, source.head
    snapshot = store.snapshot()
    takeoff = NewTakeoff(
        id=uuid.uuid4().hex,
        created=shared.clock(),
        name=head.name,
        catalogue_revision=snapshot.catalogue_revision,
        version=shared.spec.version,
        tags=head.tags,
        strict=head.strict,
        closure_kinds_most=head.closure_kinds_most,
        recorded=store.records.tallies(),
    )

    def judge(demand: bytes) -> tuple[Fault, ...]:
        return faults_of_demand(snapshot, demand, settings.max_splices)

    checks = PointChecks(shared.spec, settings.json_depth, shared.narrower)
    reading: Reading[Any] = Reading(source.check(checks), run_in(snapshot), judge if head.strict else None)
    try:
        receive(store.takeoffs, takeoff, reading.read(source.lines()), FAULTS_SHOWN)
        kept = None if key is None else key_of(key, digest(), 202, takeoff.created)
        return store.takeoffs.start(takeoff.id, kept) or takeoff.id
    except PointsRefused as refusal:
        raise _refused(refusal, source) from None
    except NotFound:
        detail = f"The takeoff {takeoff.id} was cancelled while it was being received."
        raise Problem("cancelled", detail) from None


def _refused(refusal: PointsRefused, source: Source) -> Problem:
    """All faults of a strict takeoff, as many as one answer names."""
    errors: list[dict[str, Any]] = [
        source.told(point.line, fault) for point in refusal.points for fault in point.faults
    ]
    count = "1 splice point is" if refusal.count == 1 else f"{refusal.count} splice points are"
    shown = f" The first {FAULTS_SHOWN} faults are named." if len(errors) > FAULTS_SHOWN else ""
    return Problem("refused", f"{count} not in order, so nothing was stored.{shown}", errors)


def _answer(takeoff_id: str | StoredAnswer, replayed: bool = False) -> Response:
    assert isinstance(takeoff_id, str)
    takeoff = state().store.takeoffs.get(takeoff_id)
    headers = {"Location": f"/v1/takeoffs/{takeoff_id}"}
    if replayed:
        headers["Idempotent-Replayed"] = "true"
    return tagged(status_document(takeoff), status_revision(takeoff), 202, headers)


def _replayed(earlier: StoredAnswer, source: Source) -> Response:
    insist_on_body(earlier, source.digest())
    try:
        return _answer(earlier.plan_id or "", replayed=True)
    except NotFound:
        raise Problem("not-found", "The takeoff that this key stands for has been removed.") from None
