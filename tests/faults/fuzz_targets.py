"""Readers of what strangers send, each as a function of bytes that raises where something is wrong with the reader.

The same functions are run by Hypothesis with every run of the checks (``test_fuzz_targets.py``) and by Atheris, which
looks for bytes that reach new code, in the long form (``atheris_run.py``).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass

import orjson

from service.api.access.sessions import read_session, write_session
from service.api.paging import read_cursor, write_cursor
from service.api.problems import Problem
from service.api.strict_json import LARGEST_WHOLE, MalformedJson, read_json
from service.building.lines import lines_of
from service.documents.ranges import RangeError, format_ranges, parse_ranges
from service.domain.token_text import read_token
from tests.faults import fuzz_files as files
from tests.faults.fuzz_requests import a_form, a_head, a_query, form_seeds, head_seeds, query_seeds
from tests.faults.fuzz_workbooks import a_sheet, a_workbook, sheet, workbook

KEY = b"a key of the fuzzing"
SCOPE = "/v1/plans?"
LONGEST = 40
TOKEN = f"tw_{'0a' * 16}_{'aZ_-9' * 8}abc"


@dataclass(frozen=True)
class Target:
    """A reader: what holds of it for any bytes, and some bytes to begin with."""

    holds: Callable[[bytes], None]
    seeds: Callable[[], list[bytes]]


def a_range_text(content: bytes) -> None:
    """What is read, a reader of other making reads too, and it is written back as it came; all else is refused."""
    text = content.decode("utf-8", "surrogateescape")
    expected = _ranges_by_hand(text)
    try:
        ranges = parse_ranges(text)
    except RangeError:
        assert expected is None, text
        return
    assert ranges == expected, text
    assert parse_ranges(format_ranges(ranges)) == ranges


def _ranges_by_hand(text: str) -> tuple[tuple[int, int], ...] | None:
    found = []
    for part in text.split(","):
        ends = part.split("-")
        if len(ends) > 2 or not all(end.isascii() and end.isdecimal() and end[0] != "0" for end in ends):
            return None
        if any(len(end) > 9 for end in ends):
            return None
        found.append((int(ends[0]), int(ends[-1])))
    return tuple(found)


def a_json_text(content: bytes) -> None:
    """What is read, two other readers read to the same values; what is no JSON to us, is none to another reader."""
    try:
        value = read_json(content)
    except MalformedJson as refusal:
        if refusal.code == "syntax":
            assert not _is_json(content), content
        return
    assert value == json.loads(content)
    assert value == orjson.loads(content)
    assert read_json(orjson.dumps(value)) == value
    assert _plain(value)


def _is_json(content: bytes) -> bool:
    try:
        orjson.loads(content)
    except orjson.JSONDecodeError:
        return False
    return True


def _plain(value: object) -> bool:
    if isinstance(value, dict):
        return all(isinstance(name, str) and _plain(each) for name, each in value.items())
    if isinstance(value, list):
        return all(map(_plain, value))
    if isinstance(value, int) and not isinstance(value, bool):
        return abs(value) <= LARGEST_WHOLE
    return value is None or isinstance(value, bool | str | float)


def a_cursor(content: bytes) -> None:
    """No text is taken but the very one that was given."""
    text = content.decode("latin-1")
    try:
        place = read_cursor(KEY, SCOPE, text)
    except Problem as refusal:
        assert refusal.status == 400
        return
    assert write_cursor(KEY, SCOPE, place) == text


def a_token(content: bytes) -> None:
    """A token is written as it was read, so nothing else is taken for it; a cookie likewise, as far as it is read."""
    text = content.decode("utf-8", "surrogateescape")
    token = read_token(text)
    assert token is None or str(token) == text
    session = read_session(text)
    if session is not None:
        again, ends = write_session(KEY, "digest", session.token_id, session.ends, session.ends)
        assert (again.split(".")[0], ends) == (session.token_id, session.ends)
        assert not session.genuine(KEY, "digest") or again == text


def a_stream_of_lines(content: bytes) -> None:
    """However a stream is cut into blocks, its lines are those of the whole; what is too long is told as that."""
    at = content[0] if content else 0
    blocks = [content[start : start + at % 7 + 1] for start in range(0, len(content), at % 7 + 1)]
    expected = [
        (number, line if len(line) <= LONGEST else None)
        for number, line in enumerate(content.split(b"\n"), 1)
        if len(line) > LONGEST or line.strip()
    ]
    assert [tuple(line) for line in lines_of(blocks, LONGEST)] == expected


TARGETS: dict[str, Target] = {
    "ranges": Target(a_range_text, lambda: [b"1-12", b"3", b"1-4,9-12", b"999999999-1", b"01", "١".encode()]),
    "json": Target(
        a_json_text, lambda: [b'{"a": [1, -2.5e3, true, null, "\\ud83d\\ude00"]}', b"[NaN, 1e400]", b"[" * 70]
    ),
    "cursor": Target(a_cursor, lambda: [write_cursor(KEY, SCOPE, ["2026-03-02", "0a"]).encode(), b"aaaa"]),
    "token": Target(
        a_token, lambda: [TOKEN.encode(), f"{'0a' * 16}.1790000000.{'0b' * 32}".encode(), b"tw_"]
    ),
    "lines": Target(a_stream_of_lines, lambda: [b'{"a": 1}\n\n{"b": 2}\r\n', b"x" * 50 + b"\n \n"]),
    "workbook": Target(a_workbook, lambda: [workbook()]),
    "sheet": Target(a_sheet, lambda: [sheet()]),
    "form": Target(a_form, form_seeds),
    "query": Target(a_query, query_seeds),
    "head": Target(a_head, head_seeds),
    "table": Target(files.a_table, files.table_seeds),
    "tables_workbook": Target(files.a_tables_workbook, lambda: [files.tables_workbook()]),
    "tables_sheet": Target(files.a_tables_sheet, lambda: [files.tables_sheet()]),
    "map": Target(files.a_map, files.map_seeds),
    "packed": Target(files.a_packed_body, files.packed_seeds),
}
