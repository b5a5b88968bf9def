"""Files as people send them in tests: the catalogue and splice points as workbooks, CSV, and points of a map."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import openpyxl
import orjson
from werkzeug.test import TestResponse

from service.api.importing.tables import CSV, XLSX, catalogue_tables, points_table
from service.api.spec import load_spec
from service.sheets.tabular.csv_files import csv_file
from service.sheets.tabular.xlsx_files import xlsx_file
from tests.api.held_client import HeldClient

GEOJSON = "application/geo+json"
SPEC = load_spec()
POINT = {
    "name": "Quay 1",
    "cables": [{"tag": "A", "cable": "drop-24"}, {"tag": "B", "cable": "drop-24"}],
    "joints": [{"from": {"cable": "A", "fibres": "1-12"}, "to": {"cable": "B", "fibres": "1-12"}}],
}
PLACE = (-4.4862, 54.1516)
"""Somewhere on the Isle of Man."""


def workbook(sheets: Mapping[str, Sequence[Sequence[Any]]]) -> bytes:
    """A workbook with these rows, as another program would write it."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    return saved(book)


def saved(book: openpyxl.Workbook) -> bytes:
    """The bytes of a workbook."""
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def catalogue_workbook(document: Mapping[str, Any]) -> bytes:
    """A catalogue as the service writes it."""
    return xlsx_file(list(catalogue_tables(SPEC).values()), document)


def section_csv(kind: str, entries: Iterable[Mapping[str, Any]]) -> bytes:
    """A section as the service writes it."""
    return csv_file(catalogue_tables(SPEC)[kind], entries)


def points_workbook(points: Iterable[Mapping[str, Any]]) -> bytes:
    """Splice points as they stand in the template's workbook."""
    return xlsx_file([points_table(SPEC)], {"points": list(points)})


def points_csv(points: Iterable[Mapping[str, Any]]) -> bytes:
    """Splice points as they stand in the template's CSV."""
    return csv_file(points_table(SPEC), list(points))


def points_map(points: Iterable[Mapping[str, Any]], place: Sequence[float] | None = PLACE) -> bytes:
    """Splice points as points of a map, all at one place."""
    geometry = None if place is None else {"type": "Point", "coordinates": list(place)}
    features = [{"type": "Feature", "geometry": geometry, "properties": point} for point in points]
    return orjson.dumps({"type": "FeatureCollection", "features": features})


def posted(client: HeldClient, path: str, content: bytes, kind: str = "", **headers: str) -> TestResponse:
    """Send a file; its kind is that of the path's ending unless told otherwise."""
    kinds = {"csv": CSV, "xlsx": XLSX, "geojson": GEOJSON}
    kind = kind or kinds[path.split("?")[0].rpartition(".")[2]]
    return client.post(path, data=content, content_type=kind, headers=headers)
