"""What Schemathesis is told beside the description: how lines are sent."""

from __future__ import annotations

from typing import Any

import schemathesis


@schemathesis.serializer("application/x-ndjson")
def as_lines(context: Any, value: Any) -> bytes:
    """Lines are text already; whatever else is drawn is sent as text, to be refused."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")
