"""Whatever is thrown at a reader is read or refused in words: ranges, JSON, cursors, tables, maps, parameters.

``TRAYWRIGHT_FUZZ=20`` tries twenty times as much, and ``TRAYWRIGHT_SEARCH=1`` what was not tried before.
"""

from __future__ import annotations

import io
import json
import os
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from flask import Flask
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.api.importing.tables import catalogue_tables, points_table
from service.api.paging import read_cursor, write_cursor
from service.api.problems import Problem
from service.api.spec import load_spec
from service.api.strict_json import LARGEST_WHOLE, MalformedJson, read_json
from service.app import create_app
from service.building.map_reading import mapped_points
from service.documents.ranges import RangeError, format_ranges, parse_ranges
from service.domain.faults import Refused
from service.settings import Settings
from service.sheets.schedule.opening import NotAWorkbook
from service.sheets.schedule.reading import read_schedule
from service.sheets.tabular.reading import read_csv, read_workbook
from service.sheets.tabular.rows import NotATable
from service.sheets.tabular.xlsx_files import xlsx_file
from service.store import AnyRevision, open_store
from tests.api.held_client import HeldClient
from tests.faults.written import catalogue, request

TIMES = int(os.environ.get("TRAYWRIGHT_FUZZ", "1"))
often = settings(max_examples=300 * TIMES, deadline=None)
seldom = settings(
    max_examples=60 * TIMES, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

INSIDE = ("Traceback", "sqlalchemy", "sqlite3", "psycopg", "SELECT ", "/service/", ".py", "File \"")
"""What no answer may contain: it would tell of the inside."""


@given(st.one_of(st.text(max_size=40), st.text("0123456789-, \n", max_size=60)))
@often
def test_a_range_text_is_read_or_refused(text: str) -> None:
    """What is read is written back as a text of the same meaning, and no text is read that another reader would not."""
    try:
        ranges = parse_ranges(text)
    except RangeError:
        return
    assert set(text) <= set("0123456789-,")
    assert parse_ranges(format_ranges(ranges)) == ranges


@given(st.binary(max_size=200))
@often
def test_bytes_are_strict_json_or_refused(body: bytes) -> None:
    """What passes, Python's own reader reads to the same values; nothing but a refusal is ever raised."""
    try:
        value = read_json(body)
    except MalformedJson:
        return
    assert value == json.loads(body)


VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**60), 2**60)
    | st.floats()
    | st.text(st.characters(exclude_categories=()), max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=4), inner, max_size=4),
    max_leaves=12,
)


def _extreme(value: Any) -> bool:
    """Whether a value has something that strict JSON refuses."""
    if isinstance(value, float):
        return value != value or value in (float("inf"), float("-inf"))
    if isinstance(value, int):
        return abs(value) > LARGEST_WHOLE
    if isinstance(value, str):
        return any("\ud800" <= letter <= "\udfff" for letter in value)
    if isinstance(value, dict):
        return any(_extreme(each) for pair in value.items() for each in pair)
    return isinstance(value, list) and any(map(_extreme, value))


@given(VALUES)
@often
def test_written_json_is_read_back_unless_it_has_what_is_refused(value: Any) -> None:
    """NaN, Infinity, whole numbers that others would round, and lone surrogates are refused; all else comes back."""
    text = json.dumps(value).encode()
    if _extreme(value):
        with pytest.raises(MalformedJson):
            read_json(text)
    else:
        assert read_json(text) == value


@given(st.binary(min_size=8, max_size=32), st.lists(st.text(max_size=12), max_size=3), st.data())
@often
def test_no_cursor_but_the_one_that_was_given_is_taken(key: bytes, place: list[str], data: st.DataObject) -> None:
    """A letter changed, left out or added, or any other text: refused. The cursor itself leads back to its place."""
    cursor = write_cursor(key, "/v1/plans?", place)
    assert read_cursor(key, "/v1/plans?", cursor) == place
    at = data.draw(st.integers(0, len(cursor) - 1))
    letter = data.draw(st.text(max_size=2))
    changed = cursor[:at] + letter + cursor[at + data.draw(st.integers(0, 1)) :]
    if changed != cursor:
        with pytest.raises(Problem):
            read_cursor(key, "/v1/plans?", changed)
    with pytest.raises(Problem):
        read_cursor(key, "/v1/orders?", cursor)


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Flask]:
    """An application on a file with the small catalogue."""
    file: Path = tmp_path_factory.mktemp("fuzzed") / "fuzzed.db"
    store = open_store(f"sqlite:///{file}")
    store.upgrade()
    store.put_catalogue(catalogue(), AnyRevision())
    made = create_app(Settings(), store)
    made.test_client_class = HeldClient
    yield made
    store.close()


@pytest.fixture(scope="module")
def workbook(app: Flask) -> bytes:
    """The workbook of a stored plan."""
    client = app.test_client()
    plan = client.post("/v1/plans", json=request()).get_json()
    content: bytes = client.get(f"/v1/plans/{plan['id']}/plan.xlsx").data
    assert content.startswith(b"PK")
    return content


@given(data=st.data())
@seldom
def test_a_changed_workbook_is_read_or_refused(workbook: bytes, data: st.DataObject) -> None:
    """Bytes changed in the file, or in one of its parts before it is packed again: nothing but a refusal is raised."""
    if data.draw(st.booleans()):
        at = data.draw(st.integers(0, len(workbook) - 1))
        changed = workbook[:at] + data.draw(st.binary(max_size=6)) + workbook[at + data.draw(st.integers(0, 6)) :]
    else:
        with zipfile.ZipFile(io.BytesIO(workbook)) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        name = data.draw(st.sampled_from(sorted(parts)))
        part = parts[name]
        at = data.draw(st.integers(0, max(0, len(part) - 1)))
        parts[name] = part[:at] + data.draw(st.binary(max_size=8)) + part[at + data.draw(st.integers(0, 8)) :]
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for each, content in parts.items():
                archive.writestr(each, content)
        changed = packed.getvalue()
    try:
        read_schedule(changed)
    except NotAWorkbook as refusal:
        assert not any(word in str(refusal) for word in INSIDE)


NASTY = st.one_of(
    st.sampled_from(
        [
            "../../etc/passwd", "%2e%2e%2f", "..\\..\\x", "' OR 1=1 --", "\"; DROP TABLE plans; --", "a\nb", "\x00",
            "a\r\nSet-Cookie: x=1", "%00", "<script>alert(1)</script>", "=HYPERLINK(\"http://x\")", "${7*7}", "{{7*7}}",
            "\ud7ff", "%", "_", "*", "?", "#", "a" * 5_000, "\u202e", "-1", "1e999", "NaN", "null", "true",
        ]
    ),
    st.text(max_size=30),
)  # fmt: skip
PATHS = (
    "/v1/plans/{}", "/v1/plans/{}/drawing.svg", "/v1/closures/{}", "/v1/trays/{}", "/v1/takeoffs/{}", "/v1/orders/{}",
    "/v1/orders/{}/items/{}/sources", "/v1/stock/{}", "/v1/installations/{}", "/v1/installations/{}/visits",
    "/problems/{}", "/v1/takeoffs/{}/plans/{}", "/{}",
)  # fmt: skip
QUERIES = ("name", "state", "closure", "cursor", "limit", "fits", "near", "within_km", "layout", "code", "tag")


@given(path=st.sampled_from(PATHS), nasty=NASTY, query=st.sampled_from(QUERIES), header=NASTY)
@settings(parent=seldom, max_examples=250 * TIMES)
def test_no_path_query_or_header_gets_anywhere(app: Flask, path: str, nasty: str, query: str, header: str) -> None:
    """Traversal, SQL, markup and line breaks anywhere: answered as described, no 500, nothing of the inside told."""
    client = app.test_client()
    as_json = {"Content-Type": "application/json"}
    sent = {"X-Request-ID": header, "If-None-Match": header, "Accept": header, "Idempotency-Key": header}
    # What cannot be in a header at all is stopped by whoever writes it.
    headers = {name: text for name, text in sent.items() if text.isascii() and text.isprintable()}
    for answer in (
        client.get(path.format(*[quote(nasty, safe="")] * path.count("{}"))),
        client.get("/v1/plans", query_string={query: nasty}),
        client.get("/v1/closures", query_string={query: nasty}),
        client.get("/v1/installations", query_string={query: nasty}),
        client.get("/v1/orders", headers=headers),
        client.post("/v1/plans?store=false", data=nasty.encode(), headers={**headers, **as_json}),
    ):
        text = answer.get_data(as_text=True)
        assert answer.status_code < 500, text
        assert not any(word in text for word in INSIDE) or answer.status_code < 400, text
        assert "\n" not in str(answer.headers.get("X-Request-ID")) and "Set-Cookie" not in answer.headers


TABLES = list(catalogue_tables(load_spec()).values())
HEADINGS = ("code", "name", "title", "banks.bank", "banks.slots", "tags.a")
CELLS = ("rs-12", "1,5", "1-12", "=1", "'=1", "-", "yes", "", " ")
TYPED = st.lists(st.sampled_from([*HEADINGS, *CELLS]) | st.text(max_size=8), max_size=12)
PARTS = st.sampled_from([",", ";", "\t", "\n", "\r\n", '"', "\r", "\x00", "sep=;\n", "\ufeff"])


@given(st.lists(TYPED, max_size=6), PARTS, PARTS, st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]))
@often
def test_any_text_is_a_table_or_refused(rows: list[list[str]], cell: str, row: str, coding: str) -> None:
    """Whatever parts its cells: entries and faults with a cell each, or one sentence."""
    content = row.join(cell.join(each) for each in rows).encode(coding, "replace")
    for table in (*TABLES, points_table(load_spec())):
        try:
            read = read_csv(content, table)
        except NotATable as error:
            assert str(error).endswith(".")
            continue
        assert all(fault.row >= 1 and fault.letters.isalpha() and fault.detail for fault in read.faults)
        for entry in read.entries[table.kind].values():
            assert json.dumps(entry.over(table))


@given(st.data())
@seldom
def test_a_changed_catalogue_workbook_is_read_or_refused(data: st.DataObject) -> None:
    """Bytes of the file changed, or of one of its parts while the file stays a whole workbook."""
    book = xlsx_file(TABLES, catalogue())
    if data.draw(st.booleans()):
        at = data.draw(st.integers(0, len(book) - 1))
        changed = book[:at] + data.draw(st.binary(max_size=6)) + book[at + data.draw(st.integers(0, 6)) :]
    else:
        stream = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(book)) as old, zipfile.ZipFile(stream, "w") as new:
            part = data.draw(st.sampled_from(old.namelist()))
            for name in old.namelist():
                held = old.read(name)
                if name == part:
                    at = data.draw(st.integers(0, len(held) - 1))
                    held = held[:at] + data.draw(st.binary(max_size=6)) + held[at + data.draw(st.integers(0, 6)) :]
                new.writestr(name, held)
        changed = stream.getvalue()
    try:
        read = read_workbook(changed, TABLES)
    except NotATable as error:
        assert str(error).endswith(".")
        return
    assert all(fault.row >= 1 and fault.detail for fault in read.faults)


NUMBERS = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-400, 400)
MEMBERS = st.sampled_from(["type", "features", "geometry", "properties", "coordinates", "id", "bbox", "crs", "x"])
JSONISH = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(MEMBERS, inner, max_size=5),
    max_leaves=12,
)


@given(JSONISH, JSONISH, JSONISH)
@often
def test_any_document_is_a_map_or_refused(feature: Any, geometry: Any, coordinates: Any) -> None:
    """Splice points, or faults whose pointers lead into it."""
    point = {"type": "Point", "coordinates": coordinates}
    wrapped = {"type": "Feature", "geometry": geometry, "properties": {}}
    for body in (
        feature,
        {"type": "FeatureCollection", "features": [feature, wrapped, {**wrapped, "geometry": point}]},
    ):
        try:
            points = mapped_points(body)
        except Refused as refusal:
            assert all(fault.pointer == "" or fault.pointer[0] == "/" for fault in refusal.faults)
            continue
        for each in points:
            assert each.faults or each.document is not None
