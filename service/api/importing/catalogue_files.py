"""The catalogue as a file, given out and taken back."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

import orjson
from flask import Blueprint, Response, request

from service.api.answers import json_answer, tagged
from service.api.bodies import body_bytes, media_type
from service.api.importing.catalogue_import import Imported, import_catalogue
from service.api.importing.cell_problems import opened
from service.api.importing.tables import CSV, XLSX, catalogue_tables
from service.api.importing.turns import read_in_turn
from service.api.installations.once import Keyed, once
from service.api.preconditions import expected, has_already, tag
from service.api.state import parameter, state
from service.sheets.tabular.csv_files import csv_file
from service.sheets.tabular.reading import TablesRead, read_csv
from service.store import IdempotencyKey, StoredAnswer

routes = Blueprint("catalogue_files", __name__)
CSV_TYPE = f"{CSV}; charset=utf-8"


@routes.get("/v1/catalogue.xlsx")
def read_xlsx() -> Response:
    """The whole catalogue as a workbook."""
    from service.sheets.tabular.xlsx_files import xlsx_file

    document, revision = state().store.catalogue_document()
    tables = list(catalogue_tables(state().spec).values())
    return file_answer(f"{revision}-xlsx", "catalogue.xlsx", XLSX, lambda: xlsx_file(tables, document))


@routes.get("/v1/catalogue.csv")
def read_section() -> Response:
    """One section of the catalogue as CSV."""
    section = parameter("section")
    document, revision = state().store.catalogue_document()
    table = catalogue_tables(state().spec)[section]
    return file_answer(f"{revision}-csv", f"{section}.csv", CSV_TYPE, lambda: csv_file(table, document[section]))


@routes.post("/v1/catalogue.xlsx")
def import_xlsx() -> Response:
    """Add and change what the workbook says."""
    media_type(XLSX)
    tables = list(catalogue_tables(state().spec).values())
    return _import(lambda content: read_in_turn(content, tables))


@routes.post("/v1/catalogue.csv")
def import_section() -> Response:
    """Add and change what the CSV says of one section."""
    media_type(CSV)
    table = catalogue_tables(state().spec)[parameter("section")]
    return _import(lambda content: read_csv(content, table))


def file_answer(revision: str, name: str, content_type: str, write: Callable[[], bytes]) -> Response:
    """A file to be kept under a name; 304 where the caller has this revision already."""
    current = tag(revision)
    if has_already(current):
        return Response(status=304, headers={"ETag": current})
    headers = {"ETag": current, "Content-Disposition": f'attachment; filename="{name}"'}
    return json_answer(write(), 200, headers, content_type)


def _import(reading: Callable[[bytes], TablesRead]) -> Response:
    content = body_bytes()
    expect = expected() if "If-Match" in request.headers else None
    shared, check = state(), parameter("check")

    def work(keyed: Keyed) -> Response | StoredAnswer:
        def key(imported: Imported) -> IdempotencyKey | None:
            return keyed(200, shared.clock(), orjson.dumps(imported.document()))

        read = opened(lambda: reading(content))
        done = import_catalogue(shared.store, shared.spec, read, expect, check, key)
        return done if isinstance(done, StoredAnswer) else tagged(done.document(), done.change.revision)

    if check:
        answer = work(lambda status, created, body: None)
        assert isinstance(answer, Response)
        return answer
    return once(hashlib.sha256(content).hexdigest(), work, _again)


def _again(earlier: StoredAnswer) -> Response:
    body = earlier.body or b"{}"
    return json_answer(body, 200, {"ETag": tag(orjson.loads(body)["revision"])})
