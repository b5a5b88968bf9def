"""The runs with drawn times and remakes: what is drawn, and the line that it passes, held against SimPy."""

from __future__ import annotations

import math
import random
from collections.abc import Generator, Sequence
from typing import Any

import numpy as np
import pytest
import simpy
from hypothesis import given, settings
from hypothesis import strategies as st

from service.planning.crew_runs import CrewRuns, Hands, Kind
from service.planning.flow_line import blocks_s

_FLAT = Kind(24, 0.05, 360.0, 120.0, 90.0)
_ALONE = (Hands(1, prepare=True, join=True), Hands(1, heat=True))
_LINES = [
    _ALONE,
    (Hands(1, prepare=True), Hands(1, join=True), Hands(1, heat=True)),
    (Hands(2, prepare=True, join=True), Hands(1, heat=True)),
    (Hands(3, prepare=True), Hands(2, join=True), Hands(2, heat=True)),
    (Hands(7, prepare=True), Hands(5, join=True), Hands(9, heat=True)),
]


def _simpy_ends(columns: Sequence[list[int]], hands: Sequence[int]) -> int:
    """One run in SimPy: attempts queue before the hands of every station."""
    world = simpy.Environment()
    stations = [simpy.Resource(world, capacity=number) for number in hands]

    def attempt(number: int) -> Generator[Any, Any, None]:
        for station, spent in zip(stations, columns, strict=True):
            with station.request() as turn:
                yield turn
                yield world.timeout(spent[number])

    for number in range(len(columns[0])):
        world.process(attempt(number))
    world.run()
    return int(world.now)


@pytest.mark.parametrize("line", _LINES, ids=["alone", "two share", "two side by side", "five", "twelve"])
def test_the_same_draws_take_the_same_time_in_simpy(line: tuple[Hands, ...]) -> None:
    """Two kinds of splice, forty runs, to the millisecond."""
    drawn = CrewRuns([_FLAT, Kind(7, 0.3, 200.0, 150.0, 400.0)], [], 0.4, 5, 40)
    ends = drawn.ends_ms(line)
    shares = (("prepare", drawn.prepare_ms), ("join", drawn.join_ms), ("heat", drawn.heat_ms))
    for run in range(40):
        attempts = int(drawn.last[-1, run])
        columns = [
            sum(share[:attempts, run] for name, share in shares if getattr(station, name)).tolist()  # type: ignore[union-attr]
            for station in line
        ]
        assert _simpy_ends(columns, [station.number for station in line]) == ends[run]


def _simpy_drawn(draws: random.Random, kind: Kind, spread: float, hands: Sequence[int]) -> float:
    """One run of SimPy's own: a queue before k hands, times and remakes by another generator."""
    world = simpy.Environment()
    sigma = math.sqrt(math.log1p(spread**2))
    stations = [simpy.Resource(world, capacity=number) for number in hands]
    by_hand = (kind.prepare_s, kind.join_s) if len(hands) == 3 else (kind.prepare_s + kind.join_s,)

    def splice(number: int) -> Generator[Any, Any, None]:
        for station, seconds in zip(stations, (*by_hand, kind.heat_s), strict=True):
            with station.request() as turn:
                yield turn
                last = station is stations[-1]
                shares = [seconds] if last or len(hands) == 3 else [kind.prepare_s, kind.join_s]
                factors = [1.0 if last else draws.lognormvariate(-sigma * sigma / 2, sigma) for _ in shares]
                yield world.timeout(sum(s * f for s, f in zip(shares, factors, strict=True)))

    number = 0
    for _ in range(kind.splices):
        number += 1
        while draws.random() < kind.rework:
            number += 1
    for at in range(number):
        world.process(splice(at))
    world.run()
    return float(world.now)


@pytest.mark.parametrize("line", _LINES[:3], ids=["alone", "two share", "two side by side"])
def test_the_late_figure_is_that_of_simpys_own_runs(line: tuple[Hands, ...]) -> None:
    """Another simulation with another generator: mean within 1 %, the time of nine in ten within 2.5 %."""
    ours = np.sort(CrewRuns([_FLAT], [], 0.2, 1, 500).ends_ms(line) / 1000)
    draws = random.Random(20261125)
    theirs = np.sort([_simpy_drawn(draws, _FLAT, 0.2, [station.number for station in line]) for _ in range(500)])
    assert ours.mean() == pytest.approx(theirs.mean(), rel=0.01)
    assert ours[449] == pytest.approx(theirs[449], rel=0.025)


def test_the_runs_are_the_same_on_every_machine_and_with_every_numpy() -> None:
    """The raw words of PCG64 and what is made of them, as they were when this was written."""
    words = np.random.PCG64(np.random.SeedSequence((1, 1))).random_raw(3)
    assert words.tolist() == [6121965077920697375, 11287488425574791786, 9364169760491853560]
    drawn = CrewRuns([_FLAT], [1800.0, 2700.0], 0.2, 1, 500)
    sums = [int(each.sum()) for each in (drawn.last, drawn.prepare_ms, drawn.join_ms, drawn.heat_ms, drawn.fixed_ms)]
    assert sums == [157833, 4564070500, 1513901334, 1136610000, 2226689026]


@given(
    times=st.lists(
        st.tuples(st.integers(0, 99), st.integers(0, 99), st.integers(0, 99), st.integers(1, 6)), min_size=1, max_size=3
    ),
)
@settings(max_examples=60, deadline=None)
def test_steady_work_without_remakes_takes_what_the_flow_line_takes(times: list[tuple[int, int, int, int]]) -> None:
    """In every run, for single stations and any kinds in the order given."""
    drawn = CrewRuns([Kind(n, 0.0, a, b, c) for a, b, c, n in times], [], 0.0, 1, 3)
    exact = blocks_s([((a, b, c), n) for a, b, c, n in times]) * 1000
    assert drawn.ends_ms(_LINES[1]).tolist() == [exact] * 3


def test_the_mean_of_the_runs_is_the_exact_mean_where_the_line_is_linear() -> None:
    """One kind at steady times: (N / (1 - p) - 1) max t + sum t, within four standard errors of 20,000 runs."""
    ends = CrewRuns([Kind(20, 0.2, 60.0, 30.0, 40.0)], [], 0.0, 9, 20_000).ends_ms(_LINES[1]) / 1000
    exact = (20 / 0.8 - 1) * 60 + 130
    assert abs(ends.mean() - exact) < 4 * ends.std() / math.sqrt(20_000)


def test_the_mean_attempts_of_several_kinds_take_no_longer_than_the_mean_of_the_runs() -> None:
    """The line's time is convex in the attempts; the two differ by less than 2 % for ordinary work."""
    kinds = [Kind(10, 0.3, 60.0, 30.0, 100.0), Kind(10, 0.3, 120.0, 90.0, 40.0)]
    ends = CrewRuns(kinds, [], 0.0, 9, 20_000).ends_ms(_LINES[1]) / 1000
    middle = blocks_s([((k.prepare_s, k.join_s, k.heat_s), k.splices / 0.7) for k in kinds])
    assert middle <= ends.mean() + 4 * ends.std() / math.sqrt(20_000)
    assert middle == pytest.approx(ends.mean(), rel=0.02)


def test_times_by_hand_have_the_mean_and_the_spread_asked_for() -> None:
    """Mean 1, relative spread 0.3, never nought or less; the heater's time stays."""
    drawn = CrewRuns([Kind(100, 0.0, 100.0, 100.0, 50.0)], [100.0], 0.3, 2, 1000)
    for times in (drawn.prepare_ms, drawn.join_ms, drawn.fixed_ms):
        assert times.mean() == pytest.approx(100_000, rel=0.03)
        assert times.std() == pytest.approx(30_000, rel=0.06)
        assert times.min() > 0
    assert set(drawn.heat_ms.ravel().tolist()) == {50_000}
    assert abs(np.corrcoef(drawn.prepare_ms.ravel(), drawn.join_ms.ravel())[0, 1]) < 0.02


@pytest.mark.parametrize("rework", [0.05, 0.5, 0.9])
def test_attempts_are_geometric(rework: float) -> None:
    """The share that needs more than k attempts is p^k, and the mean 1 / (1 - p)."""
    last = CrewRuns([Kind(50, rework, 1.0, 1.0, 1.0)], [], 0.0, 3, 2000).last
    attempts = np.diff(last, axis=0, prepend=0)
    assert attempts.min() == 1
    assert attempts.mean() == pytest.approx(1 / (1 - rework), rel=0.02)
    for more in (1, 2, 3):
        assert (attempts > more).mean() == pytest.approx(rework**more, abs=0.008)


def test_splices_are_done_one_after_the_other() -> None:
    """In order of time, and the last ends the work, where hands may overtake each other too."""
    for line in _LINES:
        drawn = CrewRuns([_FLAT], [], 0.5, 4, 50)
        done = drawn.done_ms(line)
        assert done.shape == (24, 50)
        assert (np.diff(done, axis=0) >= 0).all()
        assert (done[-1] == drawn.ends_ms(line)).all()


def test_a_larger_job_begins_with_the_draws_of_a_smaller_one() -> None:
    """So that what is done in a window does not depend on what comes after it."""
    small, large = (CrewRuns([Kind(n, 0.2, 60.0, 30.0, 40.0)], [60.0], 0.2, 6, 50) for n in (10, 25))
    assert (small.done_ms(_ALONE) == large.done_ms(_ALONE)[:10]).all()
    assert (small.fixed_ms == large.fixed_ms).all()


def test_nothing_to_splice_takes_no_time() -> None:
    """No kinds, or a kind of none before others."""
    assert CrewRuns([], [], 0.2, 1, 5).ends_ms(_ALONE).tolist() == [0] * 5
    none = Kind(0, 0.5, 9.0, 9.0, 9.0)
    with_none, without = (CrewRuns(kinds, [], 0.2, 1, 5).ends_ms(_ALONE) for kinds in ([none, _FLAT], [_FLAT]))
    assert (with_none == without).all()


def test_a_learned_rate_is_one_for_all_splices_of_a_run() -> None:
    """With each run's own rate, its attempts are geometric at that rate: the runs differ more than splices alone do."""
    rates = tuple(0.01 if run % 2 else 0.5 for run in range(400))
    runs = CrewRuns([Kind(50, rates, 60.0, 30.0, 40.0)], [], 0.0, 3, 400)
    attempts = runs.last[-1]
    low, high = attempts[1::2].mean(), attempts[::2].mean()
    assert low == pytest.approx(50 / 0.99, rel=0.02)
    assert high == pytest.approx(50 / 0.5, rel=0.05)
