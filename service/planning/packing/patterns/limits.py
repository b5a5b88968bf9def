"""Limits of a branch: how many trays, slots or bundles there are of a sort."""

from __future__ import annotations

from dataclasses import dataclass

from service.planning.packing.patterns.pricing import CUTS, Column
from service.planning.packing.patterns.ways import Cut


@dataclass(frozen=True, slots=True)
class Limit:
    """The trays used for a label (``group``; -1: for none, None: for whatever label) count ``low`` to ``high``.

    ``counts[t]`` is what one tray of type ``t`` counts; with a ``lot``, what one bundle of the lot in it counts.
    With a ``cut`` it is these cuts that count.
    """

    counts: tuple[int, ...]
    group: int | None
    low: int
    high: int
    lot: int | None = None
    cut: Cut | None = None

    def of(self, column: Column) -> int:
        """What the trays of a column count."""
        if self.cut is not None:
            return int(column.group == CUTS and self.cut in column.cuts)
        if self.group not in (None, column.group):
            return 0
        if self.lot is None:
            return sum([self.counts[t] for t, _ in column.trays])
        return sum([self.counts[t] * n for t, picked in column.trays for lot, n in picked if lot == self.lot])
