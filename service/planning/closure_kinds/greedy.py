"""A good choice quickly: add the model that helps most, then swap one for another while that helps."""

from __future__ import annotations

import numpy as np

from service.planning.closure_kinds.levels import Levels

Outcome = tuple[int, int]
"""Points unserved, then the total: the order in which choices are compared."""


def grown(levels: Levels, chosen: tuple[int, ...], most: int) -> tuple[int, ...]:
    """Add models one by one up to ``most``, each time the one with the best outcome; stop where none betters it."""
    outcome = levels.outcome(chosen)
    while len(chosen) < most:
        better, place = _best_added(levels, chosen)
        if better >= outcome:
            break
        chosen, outcome = (*chosen, place), better
    return tuple(sorted(chosen))


def swapped(levels: Levels, chosen: tuple[int, ...]) -> tuple[int, ...]:
    """Swap a chosen model for another while the outcome gets better; each time the best of all swaps."""
    outcome = levels.outcome(chosen)
    while True:
        best = outcome
        found = chosen
        for out in chosen:
            rest = tuple(place for place in chosen if place != out)
            better, place = _best_added(levels, rest)
            if better < best:
                best, found = better, tuple(sorted((*rest, place)))
        if found == chosen:
            return chosen
        chosen, outcome = found, best


def _best_added(levels: Levels, chosen: tuple[int, ...]) -> tuple[Outcome, int]:
    """The best outcome of one model more, and that model (the first of equal ones)."""
    missed = levels.missed(chosen)
    still = 1 - levels.within[missed].astype(levels.rises.dtype)
    unserved = levels.points[missed] @ still
    totals = (levels.rises[missed] - levels.drops[missed]) @ still
    few = unserved == unserved.min()
    place = int(np.flatnonzero(few)[totals[few].argmin()])
    return (int(unserved[place]), levels.floor + int(totals[place])), place
