"""What a takeoff came to, as plain text for a screen."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from service.sheets.layout import columns, counted

Document = Mapping[str, Any]
_FAULTS_SHOWN = 3


def outcome_text(takeoff: Document) -> list[str]:
    """How many splice points there were and what came of them, with the first faults."""
    points, demands = takeoff["points"], takeoff["demands"]
    different = counted(demands["total"], "different demand")
    lines = [
        f"{counted(points['total'], 'splice point')}, {different}: {points['fitting']} fit, "
        f"{points['not_fitting']} do not, {points['faulty']} faulty; {points['not_proven']} not proven best."
    ]
    for point in takeoff["faulty"]:
        for fault in point["faults"][:_FAULTS_SHOWN]:
            lines.append(f"  line {point['line']}: {fault['pointer'] or '/'}: {fault['detail']}")
    more = points["faulty"] - len(takeoff["faulty"])
    if more > 0:
        lines.append(f"  and {counted(more, 'more faulty splice point')}")
    return lines


def totals_text(totals: Document, materials: Iterable[Document]) -> list[str]:
    """Closures, trays, sleeves, materials, price and hours."""
    lines = ["", *_table(("closure", "points"), ((row["closure"], row["points"]) for row in totals["closures"]))]
    trays = ((row["tray"], row["new"]) for row in totals["trays"])
    lines += ["", *_table(("tray", "new"), trays)]
    sleeves = (
        (row["sleeve"], row["splices"], row["spares_separate"], row["spares_pooled"]) for row in totals["sleeves"]
    )
    lines += ["", *_table(("sleeve", "splices", "spares, each point its own", "spares, pooled"), sleeves)]
    others = (
        (row["material"], f"{row['quantity']:g}", row["unit"], row["title"])
        for row in materials
        if row["kind"] == "material"
    )
    lines += ["", *_table(("material", "quantity", "unit", "what"), others, right=(1,))]
    lines.append("")
    lines += [f"{row['price']} {row['currency']}, each splice point's packs by themselves" for row in totals["prices"]]
    crew = totals.get("crew")
    if crew is not None:
        lines.append(f"{crew['hours_median']:g} hours of crew at {counted(crew['points'], 'splice point')}")
    return lines


def _table(head: tuple[str, ...], rows: Iterable[tuple[Any, ...]], right: tuple[int, ...] | None = None) -> list[str]:
    cells = [head, *(tuple(f"{cell:,}" if isinstance(cell, int) else str(cell) for cell in row) for row in rows)]
    return columns(cells, right=right or tuple(range(1, len(head))), indent=0, width=110)
