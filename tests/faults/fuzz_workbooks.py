"""Workbooks that crews send back, damaged in every way: what holds of their reader."""

from __future__ import annotations

import io
import zipfile
from functools import cache

from service.sheets.schedule.opening import NotAWorkbook
from service.sheets.schedule.reading import read_schedule
from tests.faults.fuzz_requests import app_with_a_plan, tells_of_the_inside

SHEET = "xl/worksheets/sheet2.xml"


@cache
def workbook() -> bytes:
    """The workbook of a stored plan."""
    app, ids = app_with_a_plan()
    content: bytes = app.test_client().get(f"/v1/plans/{ids['plans']}/plan.xlsx").data
    assert content.startswith(b"PK")
    return content


@cache
def _parts() -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(workbook())) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def sheet() -> bytes:
    """The part of it that crews fill in, short enough to be changed."""
    part = _parts()[SHEET]
    rows = part.index(b"</row>", part.index(b'<row r="3"')) + len(b"</row>")
    return part[:rows] + part[part.index(b"</sheetData>") :]


def a_workbook(content: bytes) -> None:
    """Any bytes are read, or refused in words that tell nothing of the inside."""
    try:
        read = read_schedule(content)
    except NotAWorkbook as refusal:
        assert not tells_of_the_inside(str(refusal))
        return
    assert isinstance(read.document["records"], list)
    assert all(fault.detail and not tells_of_the_inside(fault.detail) for fault in read.faults)


def a_sheet(content: bytes) -> None:
    """The same of a workbook that is whole but for what is filled in."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as archive:
        for name, part in _parts().items():
            archive.writestr(name, content if name == SHEET else part)
    a_workbook(packed.getvalue())
