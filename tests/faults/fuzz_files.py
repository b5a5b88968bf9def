"""Files that people bring, damaged in every way: what holds of the readers of tables, maps and packed bodies."""

from __future__ import annotations

import gzip
import io
import json
import zipfile
from functools import cache
from typing import Any

from service.api.importing.tables import catalogue_examples, catalogue_tables, points_examples, points_table
from service.api.packed import Unpacked
from service.api.problems import Problem
from service.api.spec import load_spec
from service.building.map_reading import mapped_points
from service.domain.faults import Refused
from service.sheets.tabular.csv_files import csv_file
from service.sheets.tabular.reading import TablesRead, read_csv, read_workbook
from service.sheets.tabular.rows import NotATable
from service.sheets.tabular.shape import Table
from service.sheets.tabular.xlsx_files import xlsx_file
from tests.faults.fuzz_requests import tells_of_the_inside

PART = "xl/worksheets/sheet1.xml"
MOST = 100_000


@cache
def _tables() -> dict[str, Table]:
    return {"points": points_table(load_spec()), **catalogue_tables(load_spec())}


def table_seeds() -> list[bytes]:
    """The examples of the templates as CSV, with the number of their table before them."""
    examples = {**points_examples(load_spec()), **catalogue_examples(load_spec())}
    return [bytes([place]) + csv_file(table, examples[kind]) for place, (kind, table) in enumerate(_tables().items())]


def a_table(content: bytes) -> None:
    """A table is read or refused; what was read without a fault is written and read again as the same."""
    tables = list(_tables().values())
    table = tables[content[0] % len(tables)] if content else tables[0]
    try:
        read = read_csv(content[1:], table)
    except NotATable as refusal:
        _told_well(str(refusal))
        return
    _faults_have_places(read)
    if read.faults:
        return
    documents = [each.over(table) for each in read.entries[table.kind].values()]
    again = read_csv(csv_file(table, documents), table)
    assert again.faults == []
    found = [each.over(table) for each in again.entries[table.kind].values()]
    assert _told(found) == _told(documents)


def _told(value: Any) -> Any:
    """The same without empty lists and mappings, which are as good as none."""
    if isinstance(value, dict):
        return {name: _told(each) for name, each in value.items() if _told(each) not in ({}, [], None)}
    return [_told(each) for each in value] if isinstance(value, list) else value


@cache
def tables_workbook() -> bytes:
    """The template of the catalogue with its examples."""
    return xlsx_file([table for kind, table in _tables().items() if kind != "points"], catalogue_examples(load_spec()))


@cache
def _parts() -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(tables_workbook())) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def tables_sheet() -> bytes:
    """Its first sheet as XML."""
    return _parts()[PART]


def a_tables_workbook(content: bytes) -> None:
    """Any bytes are read as a workbook of tables, or refused in words that tell nothing of the inside."""
    try:
        read = read_workbook(content, list(_tables().values()))
    except NotATable as refusal:
        _told_well(str(refusal))
        return
    _faults_have_places(read)


def a_tables_sheet(content: bytes) -> None:
    """The same of a workbook that is whole but for its first sheet."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as archive:
        for name, part in _parts().items():
            archive.writestr(name, content if name == PART else part)
    a_tables_workbook(packed.getvalue())


def a_map(content: bytes) -> None:
    """Whatever is JSON is a map, each feature a point or with its faults, or refused."""
    try:
        document = json.loads(content)
    except (ValueError, RecursionError):
        return
    try:
        points = mapped_points(document)
    except Refused as refusal:
        assert refusal.faults and not any(tells_of_the_inside(fault.detail) for fault in refusal.faults)
        return
    assert len(points) == len(document["features"])
    assert all((point.document is None) <= bool(point.faults) for point in points)


def a_packed_body(content: bytes) -> None:
    """Unpacked to what another reader finds, or refused; and never to more than is allowed."""
    stream = io.BufferedReader(Unpacked(io.BytesIO(content), len(content), MOST))
    try:
        found = stream.read()
    except Problem as refusal:
        assert refusal.status in (400, 413) and not tells_of_the_inside(str(refusal))
        return
    assert len(found) <= MOST
    assert found == gzip.decompress(content)


def packed_seeds() -> list[bytes]:
    """One member, two of them, an empty one, and one that grows to more than is allowed."""
    one = gzip.compress(b'{"a": 1}', mtime=0)
    return [one, one + one, gzip.compress(b"", mtime=0), gzip.compress(bytes(2 * MOST), mtime=0)]


def map_seeds() -> list[bytes]:
    """A point with a place, and one without."""
    place = {"type": "Point", "coordinates": [4.5, 51.9]}
    features = [{"type": "Feature", "geometry": each, "properties": {"name": "P"}} for each in (place, None)]
    return [json.dumps({"type": "FeatureCollection", "features": features}).encode()]


def _told_well(text: str) -> None:
    assert text.endswith(".") and not tells_of_the_inside(text)


def _faults_have_places(read: TablesRead) -> None:
    assert all(fault.row >= 1 and fault.detail and not tells_of_the_inside(fault.detail) for fault in read.faults)
