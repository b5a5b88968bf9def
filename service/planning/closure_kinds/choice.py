"""The best choice of at most so many models: fewest points unserved, then least total, with bounds on both."""

from __future__ import annotations

from typing import NamedTuple

from service.planning.closure_kinds.aim import Aim, fewest_unserved, least_total
from service.planning.closure_kinds.dividing import settled
from service.planning.closure_kinds.greedy import grown, swapped
from service.planning.closure_kinds.levels import Levels
from service.planning.closure_kinds.tree import Best

_EFFORT = 2_500_000_000
_STEPS = (100, 40_000)
"""Table entries that a search may touch, and between which numbers of steps that is kept."""


class Choice(NamedTuple):
    """Models by number, what they come to, and lower bounds; ``total_least`` holds for as many points unserved."""

    chosen: tuple[int, ...]
    unserved: int
    total: int
    unserved_least: int
    total_least: int

    @property
    def optimal(self) -> bool:
        """Whether both values are shown to be least."""
        return self.unserved == self.unserved_least and self.total == self.total_least


def best_choice(levels: Levels, most: int, start: tuple[int, ...] = ()) -> Choice:
    """The best choice of at most ``most`` models; ``start`` is one of fewer models to grow from."""
    chosen = swapped(levels, grown(levels, start, most))
    unserved, total = levels.outcome(chosen)
    unserved_least = 0
    if unserved:
        aim = fewest_unserved(levels, most)
        best = Best(chosen, unserved, _steps(aim), lambda _: True)
        unserved_least = settled(aim, best)
        chosen = swapped(levels, best.chosen)
        unserved, total = levels.outcome(chosen)
    # Where all can be served a choice that leaves any point out is beaten by the known one; else the toll need not be
    # that high, and a lower one makes sharper bounds.
    aim = least_total(levels, most, unserved, 4 * levels.dearest if unserved else total)
    best = Best(chosen, total, _steps(aim), lambda others: levels.outcome(others)[0] == unserved)
    total_least = settled(aim, best)
    chosen = _trimmed(levels, best.chosen)
    return Choice(chosen, *levels.outcome(chosen), unserved_least, total_least)


def _steps(aim: Aim) -> int:
    """How many steps a search may take: so many, however large its table, that it ends in some seconds."""
    fewest, most = _STEPS
    return max(fewest, min(most, _EFFORT // max(1, aim.within.size)))


def _trimmed(levels: Levels, chosen: tuple[int, ...]) -> tuple[int, ...]:
    """Without the models that change nothing."""
    outcome = levels.outcome(chosen)
    for place in reversed(chosen):
        rest = tuple(each for each in chosen if each != place)
        if rest and levels.outcome(rest) == outcome:
            chosen = rest
    return chosen
