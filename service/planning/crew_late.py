"""The hours that nine jobs in ten stay within, and how many splices are done in a window in nine cases of ten."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple, Protocol

from service.domain.rework import Learned, Rework, mean_rate
from service.planning.crew_line import HEAT, JOIN, PREPARE, CrewLoad, Station, line_s, order_of
from service.planning.incomplete_beta import rate_at
from service.planning.spares import remakes_within

if TYPE_CHECKING:
    from service.planning.crew_runs import CrewRuns, Hands

RUNS_MOST, RUNS_LEAST = 500, 100
_ATTEMPTS_IN_ALL = 200_000
_ATTEMPTS_MOST = 4000
_LATE = 0.90
_MS = 3_600_000
_SHARES = 50

Stages = Sequence[Mapping[str, float]]


class Late(Protocol):
    """The late figures of one job for whatever line works it."""

    runs: int
    """How many runs they come from; 0 where from none."""

    def hours(self, line: Sequence[Station]) -> float:
        """What nine jobs in ten stay within."""

    def splices_within(self, line: Sequence[Station], window_h: float) -> int:
        """The most splices done in the window in nine cases of ten, set-up, all cables and closing included."""


class _Job(NamedTuple):
    """What is worked: kinds of splice with the mean seconds of their stages, what is fixed, and how times vary."""

    loads: Sequence[CrewLoad]
    stages: Stages
    fixed_s: Sequence[float]
    spread: float
    seed: int


def late_of(loads: Sequence[CrewLoad], stages: Stages, fixed_s: Sequence[float], spread: float, seed: int) -> Late:
    """By many runs, 500 for a job of up to 400 attempts and fewer for larger ones; beyond 4,000 by remakes alone."""
    job = _Job(loads, stages, fixed_s, spread, seed)
    return RemakesAlone(job) if _expected(loads) > _ATTEMPTS_MOST else ManyRuns(job)


def _expected(loads: Sequence[CrewLoad]) -> float:
    """Attempts to expect."""
    return sum(load.splices / (1 - mean_rate(load.rework)) for load in loads)


class ManyRuns:
    """The job run through many times with drawn times and remakes, the same ones for every line."""

    def __init__(self, job: _Job) -> None:
        self.runs = min(RUNS_MOST, max(RUNS_LEAST, int(_ATTEMPTS_IN_ALL / max(1.0, _expected(job.loads)))))
        self._job = job
        self._enough = math.ceil(_LATE * self.runs)
        self._drawn: dict[tuple[int, ...], CrewRuns] = {}

    def hours(self, line: Sequence[Station]) -> float:
        """The time that so many runs end within."""
        drawn, hands = self._drawn_for(line)
        ends = drawn.fixed_ms + drawn.ends_ms(hands)
        ends.sort()
        return float(ends[self._enough - 1]) / _MS

    def splices_within(self, line: Sequence[Station], window_h: float) -> int:
        """How many are done in so many runs at least; each is done no earlier than those before it."""
        drawn, hands = self._drawn_for(line)
        inside = ((drawn.fixed_ms + drawn.done_ms(hands)) / _MS <= window_h).sum(axis=1)
        return int((inside >= self._enough).sum())

    def _drawn_for(self, line: Sequence[Station]) -> tuple[CrewRuns, list[Hands]]:
        # numpy takes a tenth of a second to import, and most requests name no crew.
        from service.planning.crew_runs import CrewRuns, Hands, Kind

        order = order_of(line, self._job.stages)
        drawn = self._drawn.get(order)
        if drawn is None:
            kinds = [
                Kind(
                    self._job.loads[at].splices,
                    self._rates(self._job.loads[at].rework),
                    *(sum(self._job.stages[at][name] for name in share) for share in (PREPARE, JOIN, HEAT)),
                )
                for at in order
            ]
            drawn = CrewRuns(kinds, self._job.fixed_s, self._job.spread, self._job.seed, self.runs)
            self._drawn[order] = drawn
        hands = [
            Hands(station.number, *(share[-1] in station.stages for share in (PREPARE, JOIN, HEAT))) for station in line
        ]
        return drawn, hands

    def _rates(self, rework: Rework) -> float | tuple[float, ...]:
        """The rate of each run: the given one, or dealt out from equal shares of what is learned."""
        if not isinstance(rework, Learned):
            return mean_rate(rework)
        return _dealt(rework.alpha, rework.beta, self.runs)


@lru_cache(maxsize=256)
def _dealt(alpha: float, beta: float, runs: int) -> tuple[float, ...]:
    """The middles of fifty equal shares in turn; rounded, so that the last bit of a machine does not matter."""
    middles = [round(rate_at((share + 0.5) / _SHARES, alpha, beta), 9) for share in range(_SHARES)]
    return tuple(middles[run % _SHARES] for run in range(runs))


class RemakesAlone:
    """Mean times, and as many remakes as are not exceeded in nine cases of ten."""

    runs = 0

    def __init__(self, job: _Job) -> None:
        self._job = job

    def hours(self, line: Sequence[Station]) -> float:
        """With the late number of attempts at all splices."""
        return self._hours(line, [load.splices for load in self._job.loads])

    def splices_within(self, line: Sequence[Station], window_h: float) -> int:
        """By many runs where these reach far enough, else by halving: more splices take no less time."""
        low, high = 0, sum(load.splices for load in self._job.loads)
        rework = max(mean_rate(load.rework) for load in self._job.loads)
        start = self._first(line, int(_ATTEMPTS_MOST * (1 - rework)))
        loads = [replace(load, splices=n) for load, n in zip(self._job.loads, start, strict=True)]
        within = ManyRuns(self._job._replace(loads=loads)).splices_within(line, window_h)
        if within < sum(start):
            return within
        while low < high:
            middle = (low + high + 1) // 2
            if self._hours(line, self._first(line, middle)) <= window_h:
                low = middle
            else:
                high = middle - 1
        return max(low, within)

    def _first(self, line: Sequence[Station], number: int) -> list[int]:
        """The first so many splices in the order worked, by kind."""
        taken = [0] * len(self._job.loads)
        for at in order_of(line, self._job.stages):
            taken[at] = min(number, self._job.loads[at].splices)
            number -= taken[at]
        return taken

    def _hours(self, line: Sequence[Station], splices: Sequence[int]) -> float:
        groups = [(n, load.rework) for n, load in zip(splices, self._job.loads, strict=True)]
        rates = [mean_rate(load.rework) for load in self._job.loads]
        expected = [n * p / (1 - p) for n, p in zip(splices, rates, strict=True)]
        mean = sum(expected)
        share = max(1.0, remakes_within(groups, _LATE) / mean) if mean else 1.0
        attempts = [n + extra * share for (n, _), extra in zip(groups, expected, strict=True)]
        return (math.fsum(self._job.fixed_s) + line_s(line, self._job.stages, attempts)) / 3600
