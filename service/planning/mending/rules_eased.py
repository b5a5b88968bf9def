"""Easier rules: less reserve, the splicer nearer, fewer remakes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from service.domain.refusal import Remedy
from service.planning.mending.trial import Trial

REACH_STEP_MM = 50

REACH_LEAST_MM = 500
"""Nearer than that a splicer is not set up beside a closure (common practice, no source)."""


def smaller_reserve(trial: Trial) -> Iterator[Remedy]:
    """The largest whole percentage of reserve that fits (a smaller reserve never needs more room)."""
    rules = trial.request.rules
    asked = rules.reserve.percent

    def fits(percent: int) -> bool:
        return trial.fits(rules=replace(rules, reserve=replace(rules.reserve, percent=float(percent))))

    best = _largest(fits, 0, -int(-asked // 1) - 1) if asked > 0 else None
    if best is not None:
        yield Remedy("reserve", str(best), True, f"keep a reserve of {best} % instead of {asked:g} %", amount=best)


def nearer_splicer(trial: Trial) -> Iterator[Remedy]:
    """The longest reach, in steps of 50 mm and not below 500 mm, for which the shorter ends can be stored."""
    rules = trial.request.rules

    def fits(steps: int) -> bool:
        return trial.fits(rules=replace(rules, reach_mm=float(steps * REACH_STEP_MM)))

    best = _largest(fits, REACH_LEAST_MM // REACH_STEP_MM, -int(-rules.reach_mm // REACH_STEP_MM) - 1)
    if best is not None:
        reach = best * REACH_STEP_MM
        text = f"bring the splicer nearer: a reach of {reach} mm instead of {rules.reach_mm:g} mm"
        yield Remedy("reach", str(reach), True, text, amount=reach)


def fewer_remakes(trial: Trial) -> Iterator[Remedy]:
    """The most remakes for which the shorter ends can be stored."""
    rules = trial.request.rules
    best = _largest(lambda remakes: trial.fits(rules=replace(rules, remakes=remakes)), 0, rules.remakes - 1)
    if best is not None:
        text = f"plan slack for {best} remakes instead of {rules.remakes}"
        yield Remedy("remakes", str(best), True, text, amount=best)


def _largest(fits: Callable[[int], bool], least: int, most: int) -> int | None:
    """The largest of a range that was shown to fit, where less is never harder; None where the least does not."""
    if most < least or not fits(least):
        return None
    low, high = least, most + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
