"""One sum to make least: points unserved, or the total among choices that leave the fewest unserved."""

from __future__ import annotations

from dataclasses import dataclass

from service.planning.closure_kinds.levels import Bits, Levels, Whole, whole


@dataclass(frozen=True, slots=True)
class Aim:
    """A choice of at most ``most`` models costs ``floor`` plus the weights of the sets that it misses.

    ``within[s, j]`` is 1 where the ``j``-th model still to be decided on is in set ``s``; ``names[j]`` is its number
    among all models. Weights are whole and not negative, so exactly ``most`` models are never worse than fewer.
    """

    within: Bits
    weights: Whole
    floor: int
    most: int
    names: tuple[int, ...]

    def taking(self, place: int) -> Aim:
        """What is left to decide once a model is chosen."""
        open_ = self.within[:, place] == 0
        return _without_column(self.within[open_], self.weights[open_], self.floor, self.most - 1, self.names, [place])

    def leaving(self, places: list[int]) -> Aim:
        """What is left to decide once some models are ruled out."""
        return _without_column(self.within, self.weights, self.floor, self.most, self.names, places)


def _without_column(
    within: Bits, weights: Whole, floor: int, most: int, names: tuple[int, ...], places: list[int]
) -> Aim:
    """Columns taken out; a set with no model left is missed whatever is chosen: its weight goes to the floor."""
    gone = set(places)
    kept = [place for place in range(len(names)) if place not in gone]
    within = within[:, kept]
    met = within.any(axis=1)
    sure = int(weights[~met].sum())
    return Aim(within[met], weights[met], floor + sure, most, tuple(names[place] for place in kept))


def fewest_unserved(levels: Levels, most: int) -> Aim:
    """The points unserved."""
    sets = levels.points > 0
    return Aim(levels.within[sets], levels.points[sets], 0, most, tuple(range(levels.models)))


def least_total(levels: Levels, most: int, unserved: int, toll: int) -> Aim:
    """The total, for choices that leave ``unserved`` points out, which is known to be the fewest.

    Each point left out beyond these pays the ``toll``, at least the cost of the dearest point: so the sum is never more
    than the total where ``unserved`` are left out, and a lower bound on the one is a lower bound on the other.
    """
    toll = max(toll, levels.dearest)
    weights = [
        int(rise) - int(drop) + int(points) * toll
        for rise, drop, points in zip(levels.rises, levels.drops, levels.points, strict=True)
    ]
    return Aim(levels.within, whole(weights), levels.floor - toll * unserved, most, tuple(range(levels.models)))
