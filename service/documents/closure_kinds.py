"""Few kinds of closure for a whole build, as a JSON-able document, and back."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.domain.closure_kinds import ClosureKinds, KindsRow, ModelShare

Document = dict[str, Any]


def kinds_to(kinds: ClosureKinds) -> Document:
    """Write the choice; figures as exact text, whatever they are figures of."""
    return {
        "measure": kinds.measure,
        "unit": kinds.unit,
        "points": kinds.points,
        "classes": kinds.classes,
        "unfit": kinds.unfit,
        "free": _row_to(kinds.free),
        "rows": [_row_to(row) for row in kinds.rows],
        "chosen": None if kinds.chosen is None else _row_to(kinds.chosen),
        "notes": list(kinds.notes),
    }


def kinds_from(document: Mapping[str, Any]) -> ClosureKinds:
    """Read what ``kinds_to`` wrote."""
    return ClosureKinds(
        measure=document["measure"],
        unit=document["unit"],
        points=document["points"],
        classes=document["classes"],
        unfit=document["unfit"],
        free=_row_from(document["free"]),
        rows=tuple(_row_from(row) for row in document["rows"]),
        chosen=None if document["chosen"] is None else _row_from(document["chosen"]),
        notes=tuple(document["notes"]),
    )


def _row_to(row: KindsRow) -> Document:
    return {
        "most": row.most,
        "closures": [
            {"closure": share.closure, "points": share.points, "total": f"{share.total:f}"} for share in row.shares
        ],
        "unserved": row.unserved,
        "total": f"{row.total:f}",
        "above_best": None if row.above_best is None else f"{row.above_best:f}",
        "optimal": row.optimal,
        "unserved_lower_bound": row.unserved_lower_bound,
        "total_lower_bound": f"{row.total_lower_bound:f}",
    }


def _row_from(document: Mapping[str, Any]) -> KindsRow:
    above = document["above_best"]
    return KindsRow(
        most=document["most"],
        shares=tuple(
            ModelShare(share["closure"], share["points"], Decimal(share["total"])) for share in document["closures"]
        ),
        unserved=document["unserved"],
        total=Decimal(document["total"]),
        above_best=None if above is None else Decimal(above),
        optimal=document["optimal"],
        unserved_lower_bound=document["unserved_lower_bound"],
        total_lower_bound=Decimal(document["total_lower_bound"]),
    )
