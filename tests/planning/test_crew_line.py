"""The flow line of a crew: for what its formula is exact, and by how much it can be over."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.request import Crew
from service.planning.crew_line import line_of, line_s

_SECONDS = st.integers(0, 300).map(float)


def _stages(prepare: float, join: float, heat: float) -> dict[str, float]:
    return {**dict.fromkeys(("ribbonise", "clean", "cleave", "lay"), 0.0), "strip": prepare, "fuse": join, "heat": heat}


def _in_turn(times: list[float], hands: list[int], jobs: int) -> float:
    """Equal jobs, each hand of a station taking every k-th of them: the plain recurrence."""
    ready = [0.0] * jobs
    for seconds, number in zip(times, hands, strict=True):
        left: list[float] = []
        for job in range(jobs):
            left.append(max(ready[job], left[job - number] if job >= number else 0.0) + seconds)
        ready = left
    return max(ready)


@given(prepare=_SECONDS, join=_SECONDS, heat=_SECONDS, jobs=st.integers(1, 40))
def test_equal_splices_at_single_stations_take_the_slowest_each_and_all_once(
    prepare: float, join: float, heat: float, jobs: int
) -> None:
    """(n - 1) max t + sum t, for one who does all by hand and for two who share the work."""
    stages = [_stages(prepare, join, heat)]
    alone, two = (line_of(Crew(technicians=n), stages, [jobs]) for n in (1, 2))
    total = prepare + join + heat
    assert line_s(alone, stages, [jobs]) == pytest.approx((jobs - 1) * max(prepare + join, heat) + total)
    assert line_s(two, stages, [jobs]) == pytest.approx((jobs - 1) * max(prepare, join, heat) + total)


@given(
    times=st.tuples(_SECONDS, _SECONDS, _SECONDS),
    people=st.integers(1, 5),
    splicers=st.integers(1, 3),
    heaters=st.integers(1, 3),
    jobs=st.integers(1, 40),
)
def test_several_hands_are_told_no_more_than_a_part_of_one_stage_too_long(
    times: tuple[float, float, float], people: int, splicers: int, heaters: int, jobs: int
) -> None:
    """Against k hands who take the splices in turn: never too short, and at most (k - 1) / k of a stage too long."""
    stages = [_stages(*times)]
    line = line_of(Crew(technicians=people, splicers=splicers, heaters=heaters), stages, [jobs])
    spent = [sum(stages[0][name] for name in station.stages) for station in line]
    hands = [station.number for station in line]
    exact = _in_turn(spent, hands, jobs)
    over = line_s(line, stages, [jobs]) - exact
    assert over >= -1e-6
    assert over <= max(t * (k - 1) / k for t, k in zip(spent, hands, strict=True)) + 1e-6
