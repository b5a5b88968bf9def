"""The table under the plot of closure kinds: every restriction with its total, what it costs, and its models."""

from __future__ import annotations

from service.domain.closure_kinds import ClosureKinds, KindsRow
from service.sheets.drawing import line, text, wrapped
from service.sheets.kinds_amounts import amount_text

_LINE = 18
_LETTERS = 48


def table_of(kinds: ClosureKinds, left: float, top: float, right: float) -> tuple[list[str], float]:
    """The drawn lines of the table, and where it ends."""
    columns = (left + 30, left + 170, left + 310)
    parts = [
        text(columns[0], top, "most", "end", 12, bold=True),
        text(columns[1], top, "total", "end", 12, bold=True),
        text(columns[2], top, "above the least", "end", 12, bold=True),
        text(columns[2] + 24, top, "models, each with its points", size=12, bold=True),
        line(left, top + 6, right, top + 6),
    ]
    y = top + 6.0
    for row in kinds.rows:
        shares = wrapped(", ".join(f"{share.closure}\u00a0{share.points:,}" for share in row.shares), _LETTERS)
        asked = kinds.chosen is not None and row.most == kinds.chosen.most
        parts += [
            text(columns[0], y + _LINE, str(row.most), "end", 12, asked),
            text(columns[1], y + _LINE, amount_text(kinds, row.total), "end", 12, asked),
            text(columns[2], y + _LINE, _above(kinds, row), "end", 12, asked),
        ]
        for words in [*shares, *_remarks(kinds, row)]:
            y += _LINE
            parts.append(text(columns[2] + 24, y, words, size=12, bold=asked))
        y += 4
    parts.append(line(left, y + 4, right, y + 4))
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
