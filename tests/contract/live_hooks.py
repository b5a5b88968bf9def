"""What Schemathesis is told beside the description: how lines, tables, workbooks and maps are sent."""

from __future__ import annotations

import json
from typing import Any

import schemathesis


def as_it_is(value: Any) -> bytes:
    """Lines are text already; whatever else is drawn is sent as text, to be refused."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


@schemathesis.serializer("application/x-ndjson")
def as_lines(context: Any, value: Any) -> bytes:
    """The lines of a takeoff."""
    return as_it_is(value)


@schemathesis.serializer("text/csv")
def as_table(context: Any, value: Any) -> bytes:
    """What is drawn is a table by chance alone."""
    return as_it_is(value)


@schemathesis.serializer("application/geo+json")
def as_map(context: Any, value: Any) -> bytes:
    """The points of a map are JSON."""
    return json.dumps(value).encode()


@schemathesis.serializer("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
def as_workbook(context: Any, value: Any) -> bytes:
    """What is drawn is no workbook, and is sent all the same."""
    return as_it_is(value)
