"""A lower bound in whole numbers, from a share of each set's weight.

A set that is missed costs its weight, so it costs at least any share of it. Say of every set ``s`` that it costs
``share[s]`` less ``share[s]`` for each chosen model in it: that is never too much. Summed up, a choice of ``k`` models
costs at least the floor, plus all shares, less the worth of the ``k`` models that are worth most; a model's worth is
the sum of the shares of the sets that it is in. This is the Lagrangian bound; whole numbers are added and compared and
nothing else, so it stands however the shares were found.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from service.planning.closure_kinds.aim import Aim
from service.planning.closure_kinds.levels import Whole

_FINEST = 2**20
_MOST = 2**61


@dataclass(frozen=True, slots=True)
class Bound:
    """What follows from whole shares, in parts of a unit of which ``parts`` make one.

    ``shares`` lie between nothing and ``full``, the weights; ``worths`` are the models'.
    """

    aim: Aim
    parts: int
    shares: Whole
    full: Whole
    worths: tuple[int, ...]

    @property
    def least(self) -> int:
        """The least that any choice can cost, in units: rounded up, since costs are whole."""
        ranked = sorted(self.worths, reverse=True)
        parts = self.aim.floor * self.parts + int(self.shares.sum()) - sum(ranked[: self.aim.most])
        return -(-parts // self.parts)

    def idle(self, best: int) -> list[int]:
        """The places of models that no choice cheaper than ``best`` has."""
        ranked = sorted(self.worths, reverse=True)
        if self.aim.most < 1 or len(ranked) <= self.aim.most:
            return []
        base = self.aim.floor * self.parts + int(self.shares.sum()) - sum(ranked[: self.aim.most - 1])
        limit = (best - 1) * self.parts
        return [place for place, worth in enumerate(self.worths) if base - worth > limit]

    def shares_without(self, place: int, taken: bool) -> npt.NDArray[np.float64]:
        """The shares, in units, of the sets that are left to decide on once a model is chosen, or ruled out."""
        within = self.aim.within
        left = within.sum(axis=1) > within[:, place]
        if taken:
            left &= within[:, place] == 0
        shares: npt.NDArray[np.float64] = self.shares[left].astype(np.float64) / self.parts
        return shares

    def leaving(self, places: list[int]) -> Bound:
        """The same shares for what is left to decide once some models are ruled out."""
        kept = [place for place in range(len(self.worths)) if place not in places]
        met = self.aim.within[:, kept].any(axis=1)
        worths = tuple(self.worths[place] for place in kept)
        return Bound(self.aim.leaving(places), self.parts, self.shares[met], self.full[met], worths)


def bound_of(aim: Aim, proposed: npt.NDArray[np.float64]) -> Bound:
    """The bound from proposed shares (in units, any numbers), rounded to whole parts between nothing and the weight."""
    total = int(aim.weights.sum()) + 1
    if aim.weights.dtype == object or total >= _MOST:
        full = np.array([int(weight) for weight in aim.weights], dtype=object)
        rounded = np.array([int(share) for share in np.nan_to_num(proposed)], dtype=object)
        return _bound(aim, 1, rounded, full)
    parts = 1
    while parts < _FINEST and total * parts * 2 < _MOST:
        parts *= 2
    weights = aim.weights.astype(np.float64)
    full = aim.weights.astype(np.int64) * parts
    return _bound(aim, parts, np.rint(np.clip(np.nan_to_num(proposed), 0, weights) * parts).astype(np.int64), full)


def _bound(aim: Aim, parts: int, rounded: Whole, full: Whole) -> Bound:
    shares: Whole = np.minimum(np.maximum(rounded, 0), full)
    worths = shares @ aim.within.astype(shares.dtype)
    return Bound(aim, parts, shares, full, tuple(int(worth) for worth in worths))
