"""Visits to a hung closure as JSON-able documents, and back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from service.documents.order import moment_to
from service.domain.installation import Visit

Document = dict[str, Any]


def visit_to(visit: Visit) -> Document:
    """Write a visit; it names no plan where there was none."""
    document: Document = {
        "number": visit.number,
        "kind": visit.kind,
        "on": visit.on.isoformat(),
        "recorded": moment_to(visit.recorded),
        "by": visit.by,
        "note": visit.note,
    }
    if visit.plan is not None:
        document["plan"] = visit.plan
    return {
        **document,
        "splices": list(visit.splices),
        "cables": list(visit.cables),
        "trays": list(visit.trays),
    }


def visit_from(document: Mapping[str, Any]) -> Visit:
    """Read what ``visit_to`` wrote."""
    return Visit(
        number=document["number"],
        kind=document["kind"],
        on=date.fromisoformat(document["on"]),
        recorded=datetime.fromisoformat(document["recorded"]),
        by=document["by"],
        note=document["note"],
        plan=document.get("plan"),
        splices=tuple(document["splices"]),
        cables=tuple(document["cables"]),
        trays=tuple(document["trays"]),
    )
