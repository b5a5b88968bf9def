"""What Schemathesis is told beside the description: how lines and workbooks are sent."""

from __future__ import annotations

from typing import Any

import schemathesis


def as_it_is(value: Any) -> bytes:
    """Lines are text already; whatever else is drawn is sent as text, to be refused."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


@schemathesis.serializer("application/x-ndjson")
def as_lines(context: Any, value: Any) -> bytes:
    """The lines of a takeoff."""
    return as_it_is(value)


@schemathesis.serializer("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
def as_workbook(context: Any, value: Any) -> bytes:
    """What is drawn is no workbook, and is sent all the same."""
    return as_it_is(value)
