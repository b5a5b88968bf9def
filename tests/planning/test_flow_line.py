"""Flow line: the time of jobs that pass the same stages."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.planning.flow_line import blocks_s, flow_line_s, johnson_order, surrogate_order

_TIMES = st.integers(0, 20).map(float)


def _simulated(times: list[tuple[float, ...]]) -> float:
    """The plain recurrence: a job starts in a stage when both it and the stage are free."""
    free = [0.0] * len(times[0]) if times else [0.0]
    for job in times:
        done = 0.0
        for stage, seconds in enumerate(job):
            done = max(done, free[stage]) + seconds
            free[stage] = done
    return free[-1]


def test_no_jobs_take_no_time() -> None:
    """Neither none at all nor a block of none."""
    assert flow_line_s([]) == 0
    assert blocks_s([((5.0, 2.0), 0)]) == 0


@given(st.lists(st.tuples(_TIMES, _TIMES, _TIMES), max_size=7))
def test_jobs_take_what_stepping_through_them_takes(times: list[tuple[float, float, float]]) -> None:
    """Against the plain recurrence, job by job and stage by stage."""
    assert flow_line_s(times) == pytest.approx(_simulated(list(times)))


@given(st.lists(st.tuples(st.tuples(_TIMES, _TIMES, _TIMES), st.integers(0, 6)), max_size=4))
def test_a_block_of_equal_jobs_takes_what_the_jobs_one_by_one_take(
    blocks: list[tuple[tuple[float, float, float], int]],
) -> None:
    """The closed form for blocks is the recurrence over their jobs."""
    jobs = [stages for stages, number in blocks for _ in range(number)]
    assert blocks_s(blocks) == pytest.approx(_simulated(list(jobs)))


@given(st.lists(st.tuples(_TIMES, _TIMES), min_size=1, max_size=6))
@settings(max_examples=60, deadline=None)
def test_no_order_beats_johnsons_on_two_stages(times: list[tuple[float, float]]) -> None:
    """Against every order of up to six jobs."""
    order = johnson_order(times)
    assert sorted(order) == list(range(len(times)))
    best = min(flow_line_s(p) for p in itertools.permutations(times))
    assert flow_line_s([times[i] for i in order]) == pytest.approx(best)


@given(st.lists(st.tuples(_TIMES, st.just(0.0), _TIMES), min_size=1, max_size=5))
@settings(max_examples=40, deadline=None)
def test_the_surrogate_order_is_best_where_the_middle_stage_is_dominated(
    times: list[tuple[float, float, float]],
) -> None:
    """Three stages, the middle one taking no time: against every order."""
    found = flow_line_s([times[i] for i in surrogate_order(times)])
    assert found == pytest.approx(min(flow_line_s(p) for p in itertools.permutations(times)))
