"""Choices gone through one by one, in whole numbers, but for those that a bound shows to be no better than the best."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from service.planning.closure_kinds.bound import Bound

Places = npt.NDArray[np.intp]
Accept = Callable[[tuple[int, ...]], bool]
"""Whether a complete choice, by the models' numbers, counts: it may leave too many points unserved."""


@dataclass(slots=True)
class Best:
    """The best choice so far and what it costs; ``steps`` how many more partial choices may be looked at."""

    chosen: tuple[int, ...]
    cost: int
    steps: int
    accept: Accept

    def offer(self, chosen: tuple[int, ...], cost: int) -> None:
        """Take a choice that costs less, if it counts."""
        ordered = tuple(sorted(chosen))
        if cost < self.cost and self.accept(ordered):
            self.chosen, self.cost = ordered, cost


def gone_through(bound: Bound, taken: tuple[int, ...], best: Best, steps: int) -> bool:
    """Go through all choices that have the models ``taken``; False where the steps ran out before the end."""
    walk = _Walk(bound, taken, best, min(steps, best.steps))
    allowed = walk.steps
    done = walk.down((), np.ones(len(bound.full), dtype=bool), np.arange(len(bound.aim.names)))
    best.steps -= allowed - max(walk.steps, 0)
    return done


@dataclass(slots=True)
class _Walk:
    bound: Bound
    taken: tuple[int, ...]
    best: Best
    steps: int

    def down(self, chosen: tuple[int, ...], missed: npt.NDArray[np.bool_], free: Places) -> bool:
        """All choices that have ``chosen`` and else only ``free`` models; ``missed``: the sets without a chosen one."""
        self.steps -= 1
        if self.steps < 0:
            return False
        bound, aim = self.bound, self.bound.aim
        left = min(aim.most - len(chosen), len(free))
        open_ = aim.within[missed][:, free]
        if left <= 1:
            self._last(chosen, missed, free, left)
            return True
        # A set with no free model left is missed for certain and costs its full weight.
        shares = np.where(open_.any(axis=1), bound.shares[missed], bound.full[missed])
        worths = shares @ open_.astype(shares.dtype)
        order = np.argsort(-worths, kind="stable")
        ranked = [int(worth) for worth in worths[order]]
        base = aim.floor * bound.parts + int(shares.sum())
        for rank in range(len(ranked) - left + 1):
            if base - sum(ranked[rank : rank + left]) > (self.best.cost - 1) * bound.parts:
                return True
            place = int(free[order[rank]])
            if not self.down((*chosen, place), missed & (aim.within[:, place] == 0), free[np.sort(order[rank + 1 :])]):
                return False
        return True

    def _last(self, chosen: tuple[int, ...], missed: npt.NDArray[np.bool_], free: Places, left: int) -> None:
        """The last model: all that are free are weighed at once."""
        aim = self.bound.aim
        weights = aim.weights[missed]
        cost = aim.floor + int(weights.sum())
        named = (*self.taken, *(aim.names[place] for place in chosen))
        if left < 1:
            self.best.offer(named, cost)
            return
        gains = weights @ aim.within[missed][:, free].astype(weights.dtype)
        for rank in np.argsort(-gains, kind="stable"):
            if cost - int(gains[rank]) >= self.best.cost:
                return
            self.best.offer((*named, aim.names[int(free[rank])]), cost - int(gains[rank]))
