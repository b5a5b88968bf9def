"""What a caller says of a place, of a visit, and of an addition, read from schema-valid documents."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, NamedTuple

from service.domain.installation import Place


class SaidOfVisit(NamedTuple):
    """When a visit was made, by whom, and what there is to remark."""

    on: date
    by: str
    note: str


def visit_said(document: Mapping[str, Any], today: date, member: str = "on") -> SaidOfVisit:
    """Read what was said of a visit; one without a date was made ``today``."""
    on = date.fromisoformat(document[member]) if member in document else today
    return SaidOfVisit(on, document.get("by", ""), document.get("note", ""))


def place_from(document: Mapping[str, Any], name: str = "") -> Place:
    """Read where a closure hangs; ``name`` is its name where the document has none."""
    return Place(
        document.get("name", name), document.get("place", ""), document.get("latitude"), document.get("longitude")
    )
