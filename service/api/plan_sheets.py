"""A stored plan for people: schedule, materials, work sheet, workbook, each at a path of its own and by Accept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from flask import Blueprint, Response

from service.api.answers import json_answer
from service.api.dossiers import dossier_of
from service.api.plan_storing import PLAN_REVISION
from service.api.preconditions import has_already, tag
from service.domain.dossier import Dossier
from service.sheets.materials_csv import materials_csv
from service.sheets.rows import ItemRow
from service.sheets.schedule.text_csv import schedule_csv

routes = Blueprint("plan_sheets", __name__)

CSV = "text/csv"
PDF = "application/pdf"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Sheet(NamedTuple):
    """A sheet: the name of its file, its media type in full, and what writes it."""

    file: str
    content_type: str
    write: Callable[[Dossier], bytes]


def _materials(dossier: Dossier) -> bytes:
    return materials_csv(
        ItemRow(
            line.kind,
            line.material,
            line.title,
            line.unit,
            1,
            line.quantity,
            line.included,
            line.packs,
            line.price,
            line.currency,
        )
        for line in dossier.plan.materials
    )


def _work_sheet(dossier: Dossier) -> bytes:
    # Loaded when it is first asked for, since a server that is never asked need not hold it.
    from service.sheets.work_sheet.sheet import work_sheet_pdf

    return work_sheet_pdf(dossier)


def _workbook(dossier: Dossier) -> bytes:
    from service.sheets.schedule.workbook import plan_xlsx

    return plan_xlsx(dossier)


_SCHEDULE = Sheet("schedule.csv", f"{CSV}; charset=utf-8", schedule_csv)
_MATERIALS = Sheet("materials.csv", f"{CSV}; charset=utf-8", _materials)
_WORK_SHEET = Sheet("sheet.pdf", PDF, _work_sheet)
_WORKBOOK = Sheet("plan.xlsx", XLSX, _workbook)
BY_ACCEPT: Mapping[str, Sheet] = {CSV: _SCHEDULE, PDF: _WORK_SHEET, XLSX: _WORKBOOK}
"""The sheet that stands for a plan in each media type."""


@routes.get("/v1/plans/<id>/schedule.csv")
def read_schedule(id: str) -> Response:
    """Where every splice lies, as CSV."""
    return in_form(id, _SCHEDULE)


@routes.get("/v1/plans/<id>/materials.csv")
def read_materials(id: str) -> Response:
    """What it takes, as CSV."""
    return in_form(id, _MATERIALS)


@routes.get("/v1/plans/<id>/sheet.pdf")
def read_work_sheet(id: str) -> Response:
    """The work sheet."""
    return in_form(id, _WORK_SHEET)


@routes.get("/v1/plans/<id>/plan.xlsx")
def read_workbook(id: str) -> Response:
    """The plan as a workbook, to be filled in and sent back."""
    return in_form(id, _WORKBOOK)


def in_form(plan_id: str, sheet: Sheet) -> Response:
    """The plan as a sheet; its tag is another one than that of the JSON."""
    dossier = dossier_of(plan_id)
    current = tag(f"{PLAN_REVISION}-{sheet.file}")
    if has_already(current):
        return Response(status=304, headers={"ETag": current})
    headers = {"ETag": current, "Content-Disposition": f'attachment; filename="plan-{plan_id}-{sheet.file}"'}
    return json_answer(sheet.write(dossier), 200, headers, sheet.content_type)
