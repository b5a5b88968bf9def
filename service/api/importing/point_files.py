"""Takeoffs sent as files, and what came of one as points of a map."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from flask import Blueprint, Response, request

from service.api.bodies import body_bytes, media_type
from service.api.importing.cell_problems import opened
from service.api.importing.point_sources import Mapped, Typed
from service.api.importing.tables import CSV, XLSX, points_table
from service.api.importing.turns import read_in_turn
from service.api.problems import Problem
from service.api.state import parameter, state
from service.api.strict_json import read_json
from service.api.takeoffs.creating import receive_takeoff, tags_told
from service.api.takeoffs.results import point_filter
from service.api.takeoffs.sources import Head
from service.building.map_features import map_parts
from service.building.map_reading import mapped_points
from service.sheets.tabular.reading import TablesRead, read_csv

routes = Blueprint("point_files", __name__)
GEOJSON = "application/geo+json"
_TABLE_TIMES, _MAP_TIMES = 16, 4
"""A file of splice points may be so many times as large as other bodies."""


@routes.post("/v1/takeoffs.csv")
def receive_csv() -> Response:
    """Receive a takeoff as CSV."""
    table = points_table(state().spec)
    return _typed(CSV, lambda content: read_csv(content, table))


@routes.post("/v1/takeoffs.xlsx")
def receive_xlsx() -> Response:
    """Receive a takeoff as a workbook."""
    table = points_table(state().spec)
    return _typed(XLSX, lambda content: read_in_turn(content, [table]))


@routes.post("/v1/takeoffs.geojson")
def receive_map() -> Response:
    """Receive a takeoff as points of a map."""
    content = _content(GEOJSON, _MAP_TIMES)
    points = mapped_points(read_json(content, state().settings.json_depth))
    return receive_takeoff(Mapped(_head(), _digest(content), points, state().spec))


@routes.get("/v1/takeoffs/<id>/points.geojson")
def stream_map(id: str) -> Response:
    """All splice points as a FeatureCollection, read from the store while they are sent."""
    shared = state()
    takeoffs = shared.store.takeoffs
    takeoffs.get(id)
    parts = map_parts(takeoffs, id, point_filter())
    return Response(shared.streams.held(parts, shared.settings.threads), content_type=GEOJSON)


def _typed(kind: str, reading: Callable[[bytes], TablesRead]) -> Response:
    content = _content(kind, _TABLE_TIMES)
    read = opened(lambda: reading(content))
    if not read.count and not read.faults:
        fault = {"pointer": "", "code": "empty", "detail": "There is no splice point in the file."}
        raise Problem("refused", "There is no splice point in the file, so nothing was stored.", [fault])
    return receive_takeoff(Typed(_head(), _digest(content), read, state().spec))


def _content(kind: str, times: int) -> bytes:
    media_type(kind)
    request.max_content_length = times * state().settings.body_limit
    return body_bytes()


def _head() -> Head:
    """What is said beside the file. All of it or nothing: half a file would be a build that nobody planned."""
    return Head(parameter("name") or "", tags_told(parameter("tags")), parameter("closure_kinds"), True)


def _digest(content: bytes) -> str:
    return hashlib.sha256(request.path.encode() + content).hexdigest()
