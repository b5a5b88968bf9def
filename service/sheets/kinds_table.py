"""The table under the plot of closure kinds: every restriction with its total, what it costs, and its models."""

from __future__ import annotations

from service.domain.closure_kinds import ClosureKinds, KindsRow
from service.sheets.drawing.letters import wrapped
from service.sheets.drawing.shapes import Line, Shape, Text
from service.sheets.kinds_amounts import amount_text

_LINE = 18


def table_of(kinds: ClosureKinds, left: float, top: float, right: float) -> tuple[list[Shape], float]:
    """The shapes of the table, and where it ends."""
    columns = (left + 30, left + 170, left + 310)
    parts: list[Shape] = [
        Text(columns[0], top, "most", "end", 12, bold=True),
        Text(columns[1], top, "total", "end", 12, bold=True),
        Text(columns[2], top, "above the least", "end", 12, bold=True),
        Text(columns[2] + 24, top, "models, each with its points", size=12, bold=True),
        Line(left, top + 6, right, top + 6),
    ]
    y = top + 6.0
    for row in kinds.rows:
        asked = kinds.chosen is not None and row.most == kinds.chosen.most
        shares = wrapped(
            ", ".join(f"{share.closure}\u00a0{share.points:,}" for share in row.shares),
            right - columns[2] - 24,
            12,
            asked,
        )
        parts += [
            Text(columns[0], y + _LINE, str(row.most), "end", 12, asked),
            Text(columns[1], y + _LINE, amount_text(kinds, row.total), "end", 12, asked),
            Text(columns[2], y + _LINE, _above(kinds, row), "end", 12, asked),
        ]
        for words in [*shares, *_remarks(kinds, row)]:
            y += _LINE
            parts.append(Text(columns[2] + 24, y, words, size=12, bold=asked))
        y += 4
    parts.append(Line(left, y + 4, right, y + 4))
    return parts, y + 4


def _above(kinds: ClosureKinds, row: KindsRow) -> str:
    return "not comparable" if row.above_best is None else amount_text(kinds, row.above_best)


def _remarks(kinds: ClosureKinds, row: KindsRow) -> list[str]:
    remarks = []
    if row.unserved > kinds.unfit:
        remarks.append(f"{row.unserved - kinds.unfit:,} points without a closure")
    if not row.optimal:
        remarks.append(f"not proven: at least {amount_text(kinds, row.total_lower_bound)}")
    return remarks
