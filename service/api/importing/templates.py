"""Empty files to type into: what the service takes, with what belongs in each column."""

from __future__ import annotations

from flask import Blueprint, Response

from service.api.importing.catalogue_files import CSV_TYPE, file_answer
from service.api.importing.tables import XLSX, catalogue_examples, catalogue_tables, points_examples, points_table
from service.api.state import parameter, state
from service.sheets.tabular.csv_files import csv_file

routes = Blueprint("templates", __name__)


@routes.get("/v1/templates/catalogue.xlsx")
def read_catalogue_xlsx() -> Response:
    """The workbook of the catalogue."""
    from service.sheets.tabular.xlsx_files import xlsx_file

    spec = state().spec
    tables = list(catalogue_tables(spec).values())
    return file_answer(spec.etag, "catalogue.xlsx", XLSX, lambda: xlsx_file(tables, {}, catalogue_examples(spec)))


@routes.get("/v1/templates/catalogue.csv")
def read_section_csv() -> Response:
    """The CSV of one section."""
    spec, section = state().spec, parameter("section")
    return file_answer(spec.etag, f"{section}.csv", CSV_TYPE, lambda: csv_file(catalogue_tables(spec)[section], ()))


@routes.get("/v1/templates/splice-points.xlsx")
def read_points_xlsx() -> Response:
    """The workbook of splice points."""
    from service.sheets.tabular.xlsx_files import xlsx_file

    spec = state().spec
    table = points_table(spec)
    return file_answer(spec.etag, "splice-points.xlsx", XLSX, lambda: xlsx_file([table], {}, points_examples(spec)))


@routes.get("/v1/templates/splice-points.csv")
def read_points_csv() -> Response:
    """The CSV of splice points."""
    spec = state().spec
    return file_answer(spec.etag, "splice-points.csv", CSV_TYPE, lambda: csv_file(points_table(spec), ()))
