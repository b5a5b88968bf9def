"""Where the packing core spends its time, by sampling: the share of each module and of its busiest functions.

Run with ``python -m tests.bench.where_time_goes [--family NAME ...] [--cases N] [--seconds S]``. A timer of the kernel
looks some hundred times a second of processor time which function runs; that slows nothing down, as tracing would.
"""

from __future__ import annotations

import argparse
import signal
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import cycle
from pathlib import Path
from statistics import median
from time import perf_counter
from types import FrameType

from service.planning.packing import solve
from tests.bench.families import FAMILIES, problem_of

PACKING = Path(solve.__code__.co_filename).parent
Samples = Counter[tuple[str, str]]


@contextmanager
def sampled(found: Samples) -> Iterator[None]:
    """Count, as often as the kernel's timer ticks, the innermost function of the core that runs."""

    def look(_: int, frame: FrameType | None) -> None:
        while frame is not None and PACKING not in Path(frame.f_code.co_filename).parents:
            frame = frame.f_back
        if frame is not None:
            found[Path(frame.f_code.co_filename).stem, frame.f_code.co_qualname] += 1

    before = signal.signal(signal.SIGPROF, look)
    signal.setitimer(signal.ITIMER_PROF, 0.001, 0.001)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def main() -> None:
    """Print the shares, family by family."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--family", nargs="*", choices=tuple(FAMILIES), default=["ordinary", "hub_never_1k_0l"])
    parser.add_argument("--cases", type=int, default=100, help="cases a family, solved again and again")
    parser.add_argument("--seconds", type=float, default=5.0, help="how long to look at a family")
    options = parser.parse_args()
    for family in options.family:
        problems = [problem_of(family, seed) for seed in range(options.cases)]
        found: Samples = Counter()
        times: list[float] = []
        began = perf_counter()
        with sampled(found):
            for problem in cycle(problems):
                start = perf_counter()
                solve(problem)
                times.append(perf_counter() - start)
                if times[-1] + start - began > options.seconds:
                    break
        total = sum(found.values())
        print(f"{family}: {len(times)} runs, median {median(times) * 1e3:.2f} ms, mean "
              f"{sum(times) / len(times) * 1e3:.2f} ms, {total} samples")  # fmt: skip
        modules: Counter[str] = Counter()
        for (module, _), count in found.items():
            modules[module] += count
        for module, count in modules.most_common(10):
            inside = Counter({name: n for (of, name), n in found.items() if of == module})
            busiest = ", ".join(f"{name} {n / total:.0%}" for name, n in inside.most_common(4))
            print(f"  {count / total:6.1%}  {module:12} {busiest}")


if __name__ == "__main__":
    main()
