"""What came of the splice points of a takeoff: page by page, in one stream, one by one, and the faulty ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import orjson
from flask import Blueprint, Response, request

from service.api.answers import json_answer, read_answer
from service.api.negotiation import chosen
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.problems import Problem
from service.api.state import parameter, state
from service.building.renaming import own_answer, own_faults
from service.building.written_points import point_lines, point_written
from service.documents.takeoff import faulty_to
from service.domain.takeoff import PointResult
from service.store import PointFilter

routes = Blueprint("takeoff_results", __name__)
LINES = "application/x-ndjson"
_PLAN_REVISION = 1


@routes.get("/v1/takeoffs/<id>/plans")
def read_plans(id: str) -> Response:
    """A page of splice points, with their plans unless they are not wanted."""
    filters = {"fits": parameter("fits"), "tag": parameter("tag"), "whole": parameter("whole")}
    found, headers = _page(id, filters, point_filter(), parameter("whole"))
    points = [point_written(result) for result in found]
    if chosen(request.headers.get("Accept"), ("application/json", LINES)) == LINES:
        return Response(b"".join(point + b"\n" for point in points), headers=headers, content_type=LINES)
    following = orjson.dumps(headers.pop("next", None))
    return json_answer(b'{"items":[%s],"next":%s}' % (b",".join(points), following), headers=headers)


@routes.get("/v1/takeoffs/<id>/plans.ndjson")
def stream_plans(id: str) -> Response:
    """All splice points, one a line, read from the store while they are sent."""
    shared = state()
    takeoffs = shared.store.takeoffs
    takeoffs.get(id)
    lines = point_lines(takeoffs, id, point_filter(), parameter("whole"))
    return Response(shared.streams.held(lines, shared.settings.threads), content_type=LINES)


@routes.get("/v1/takeoffs/<id>/plans/<place>")
def read_plan(id: str, place: str) -> Response:
    """The whole plan of one splice point."""
    result = state().store.takeoffs.point(id, parameter("place"))
    answer = own_answer(result)
    if answer is not None:
        return read_answer(answer, _PLAN_REVISION)
    if result.done:
        raise Problem("not-found", "This splice point is faulty and has no plan; its faults are at /faults.")
    raise Problem("unfinished", "This splice point is not planned yet.", headers={"Retry-After": "1"})


@routes.get("/v1/takeoffs/<id>/faults")
def read_faults(id: str) -> Response:
    """A page of the splice points that are not in order."""
    found, headers = _page(id, {}, PointFilter(faulty=True), False)
    items = [faulty_to(result, own_faults(result)) for result in found]
    following = headers.pop("next", None)
    return json_answer({"items": items, "next": following}, headers=headers)


def point_filter() -> PointFilter:
    """Which splice points the request asks for."""
    tag: str | None = parameter("tag")
    return PointFilter(fits=parameter("fits"), tag=None if tag is None else _pair(tag))


def _pair(tag: str) -> tuple[str, str]:
    name, _, value = tag.partition(":")
    return name, value


def _page(
    id: str, filters: dict[str, Any], which: PointFilter, answers: bool
) -> tuple[Sequence[PointResult], dict[str, str]]:
    """A page, and the headers that lead to the next one, with its cursor as ``next`` among them."""
    store, limit, cursor = state().store, parameter("limit"), parameter("cursor")
    scope = scope_of(request.path, filters)
    after = int(read_cursor(store.cursor_key(), scope, cursor)[0]) if cursor else 0
    found = store.takeoffs.points(id, after, limit + 1, which, answers)
    if len(found) <= limit:
        return found, {}
    following = write_cursor(store.cursor_key(), scope, [str(found[limit - 1].point.place)])
    link = next_link(request.path, filters, limit, following)
    return found[:limit], {"Link": link, "next": following}
