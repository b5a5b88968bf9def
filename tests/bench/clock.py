"""The clock of the benchmarks: the wall's, or this process's own processor time where others keep the machine busy."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter, process_time

_clock: list[Callable[[], float]] = [perf_counter]


def now() -> float:
    """Seconds from some start, by the clock in use."""
    return _clock[0]()


def count_processor_time() -> None:
    """From now on count processor time; of a solver with two workers that is the sum of both."""
    _clock[0] = process_time
