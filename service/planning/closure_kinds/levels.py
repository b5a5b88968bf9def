"""The choice as levels: what it costs when none of a set of models is chosen.

A class pays its cheapest model's cost whatever is chosen. If that model is missing it pays the rise to the second
cheapest as well, if both are missing the rise to the third, and so on; if every model that fits it is missing, its
points are unserved and their cost drops out again. So a choice costs ``floor`` plus the sum over all sets of models
that it misses entirely, and classes that rank their models alike share the sets. This is the p-median problem in the
pseudo-Boolean form of P. L. Hammer (1968), from memory; it has the linear bound of the form with ``x <= y`` in far
fewer rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from service.planning.closure_kinds.costs import Costs

Whole = npt.NDArray[Any]
"""Whole numbers: 64 bits where every sum of them fits, else Python's own."""

Bits = npt.NDArray[np.int8]

_MOST = 2**60


@dataclass(frozen=True, slots=True)
class Levels:
    """Sets of models and what missing each costs. ``within[s, j]`` is 1 where model ``j`` is in set ``s``.

    ``rises`` is added to the total, ``drops`` taken off it, and ``points`` are left unserved. ``dearest`` is the
    highest cost of a single point.
    """

    within: Bits
    rises: Whole
    drops: Whole
    points: Whole
    floor: int
    dearest: int

    @property
    def models(self) -> int:
        """How many models there are to choose from."""
        return int(self.within.shape[1])

    def missed(self, chosen: tuple[int, ...]) -> npt.NDArray[np.bool_]:
        """Which sets have none of the chosen models."""
        return np.logical_not(self.within[:, list(chosen)].any(axis=1))

    def outcome(self, chosen: tuple[int, ...]) -> tuple[int, int]:
        """Points unserved, and the total of those served."""
        missed = self.missed(chosen)
        total = self.floor + int(self.rises[missed].sum()) - int(self.drops[missed].sum())
        return int(self.points[missed].sum()), total


def levels_of(costs: Costs) -> Levels:
    """The levels of a table of costs; a set is kept once, however many classes it is a level of."""
    sums: dict[int, list[int]] = {}
    floor = dearest = 0
    for row, points in costs.rows.items():
        ranked = sorted((cost, place) for place, cost in enumerate(row) if cost is not None)
        floor += points * ranked[0][0]
        dearest = max(dearest, ranked[-1][0])
        members = 0
        for step, (cost, place) in enumerate(ranked):
            members |= 1 << place
            last = step + 1 == len(ranked)
            if last:
                entry = sums.setdefault(members, [0, 0, 0])
                entry[1] += points * cost
                entry[2] += points
            elif ranked[step + 1][0] > cost:
                sums.setdefault(members, [0, 0, 0])[0] += points * (ranked[step + 1][0] - cost)
    models = len(costs.models)
    within = np.array([[members >> place & 1 for place in range(models)] for members in sums], dtype=np.int8)
    columns = [[entry[part] for entry in sums.values()] for part in range(3)]
    rises, drops, unserved = (whole(column) for column in columns)
    return Levels(within.reshape(len(sums), models), rises, drops, unserved, floor, dearest)


def whole(numbers: list[int]) -> Whole:
    """Exact whole numbers, none negative: 64 bits wide where all of them together fit."""
    return np.array(numbers, dtype=np.int64 if sum(numbers) < _MOST else object)
