"""How long a crew takes at a splice point: flow line, set-up, cables and closing; and what one more would gain.

The middle case is reckoned with the mean times and the expected attempts, N / (1 - p), a learned p at its mean;
``crew_line`` says for what it is the exact mean. The 90 % figure is that of many runs with drawn times and remakes
(``crew_runs``); for jobs of more than 4,000 attempts, where the spread of single times is less than 1 % of the whole,
that of the remakes alone (``crew_late``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Literal

from service.domain.plan import CrewGain, CrewTime
from service.domain.request import Crew
from service.domain.rework import mean_rate
from service.planning.crew_assumptions import assumptions_of
from service.planning.crew_late import late_of
from service.planning.crew_line import CrewLoad, Station, bottleneck_of, line_of, line_s, merged_loads, stage_s

KNOWN_MOST = 4096
"""How many answers are kept: the same work comes again and again in a build. Each follows from its arguments alone."""


def crew_time(crew: Crew, loads: Sequence[CrewLoad], cables: int) -> CrewTime:
    """Hours in the middle case and at 90 %, whether the latter fits the window, the slowest stage, and the gains.

    The 90 % figure is never below the middle one. Where the window is too short: how many splices are done in it in
    nine cases of ten, set-up, all cables and closing included, in the order that the line works them. The gains are
    those of one technician, splicer or heater more, who stands by where all are quicker without; ``saves_h`` is of the
    90 % figure.
    """
    return _reckoned(crew, tuple(merged_loads(loads)), cables)


@lru_cache(maxsize=KNOWN_MOST)
def _reckoned(crew: Crew, loads: tuple[CrewLoad, ...], cables: int) -> CrewTime:
    stages = [stage_s(load) for load in loads]
    attempts = [load.splices / (1 - mean_rate(load.rework)) for load in loads]
    fixed_s = [crew.setup_min * 60, crew.closing_min * 60, *[crew.cable_prep_min * 60] * cables]
    late = late_of(loads, stages, fixed_s, crew.spread, crew.seed)

    def figures(line: Sequence[Station]) -> tuple[float, float]:
        middle = (sum(fixed_s) + line_s(line, stages, attempts)) / 3600
        return middle, max(middle, late.hours(line))

    line = line_of(crew, stages, attempts)
    median, ninety = figures(line)
    fits = None if crew.window_h is None else ninety <= crew.window_h
    gains = []
    for add, more in _one_more(crew):
        larger = line_of(more, stages, attempts)
        with_one = (median, ninety) if larger == line else figures(larger)
        if with_one[1] >= ninety:
            with_one = (median, ninety)
        inside = None if crew.window_h is None else with_one[1] <= crew.window_h
        gains.append(CrewGain(add, *with_one, saves_h=ninety - with_one[1], fits_window=inside))
    within = None
    if fits is False and crew.window_h is not None:
        # The middle figure can exceed the window where the runs just keep it: then the last splice is in doubt.
        most = sum(load.splices for load in loads) - 1
        within = max(0, min(most, late.splices_within(line, crew.window_h)))
    return CrewTime(
        hours_median=median,
        hours_90=ninety,
        fits_window=fits,
        bottleneck=bottleneck_of(line, stages, attempts) or ("cable preparation" if cables else "set-up"),
        assumptions=assumptions_of(crew, line, loads, late.runs),
        splices_in_window=within,
        gains=tuple(gains),
    )


def _one_more(crew: Crew) -> tuple[tuple[Literal["technician", "splicer", "heater"], Crew], ...]:
    return (
        ("technician", replace(crew, technicians=crew.technicians + 1)),
        ("splicer", replace(crew, splicers=crew.splicers + 1)),
        ("heater", replace(crew, heaters=crew.heaters + 1)),
    )
