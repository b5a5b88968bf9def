"""How long the choice of closure kinds takes, what it proves, and what general solvers make of the same builds.

Run with ``python -m tests.bench.bench_closure_kinds [--seeds N] [--seconds S] [--compared N]``: a table of eight rows
each time. The yardsticks get the single choice of four models of the first builds: a constraint solver with
``--seconds`` at most, and a mixed-integer solver on the form with ``x <= y``.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from statistics import median
from time import perf_counter, process_time

from service.planning.closure_kinds import PointClass, choose_closure_kinds
from tests.planning.closure_kinds.builds import disordered, models, orderly
from tests.planning.closure_kinds.other_ways import behind_all, by_constraints, by_mixed_integers

MODELS = 40
BUILDS: dict[str, Callable[[int], list[PointClass]]] = {
    "orderly, 120 classes": lambda seed: orderly(120, MODELS, seed),
    "orderly, 1,500 classes": lambda seed: orderly(1_500, MODELS, seed),
    "orderly, 10,000 classes": lambda seed: orderly(10_000, MODELS, seed, points=100_000),
    "no order at all, 120 classes": lambda seed: disordered(120, MODELS, seed),
}


def table(build: Sequence[PointClass]) -> tuple[float, float, int]:
    """Seconds for the table of eight rows, by the clock and of the processor, and how many of the rows are proven."""
    start, busy = perf_counter(), process_time()
    rows = choose_closure_kinds(build, models(MODELS), 4).rows
    return perf_counter() - start, process_time() - busy, sum(row.optimal for row in rows)


def compared(build: Sequence[PointClass], seconds: float) -> str:
    """The choice of four models by the yardsticks: seconds, and whether they agree."""
    served = [each for each in build if each.offers]
    row = choose_closure_kinds(served, models(MODELS), 4, rows=1).chosen
    assert row is not None
    ours = row.unserved * behind_all(served) + int(row.total * 100)
    start = perf_counter()
    value, proven = by_constraints(served, sorted(models(MODELS)), 4, seconds)
    constraints = f"constraints {perf_counter() - start:.2f} s, {'proven' if proven else 'not proven'}"
    constraints += ", the same" if value == ours else f", {value - ours:+} cents"
    start = perf_counter()
    try:
        same = by_mixed_integers(served, sorted(models(MODELS)), 4, row.unserved) == int(row.total * 100)
    except AssertionError:
        return f"{constraints}; mixed integers not within 60 s"
    return f"{constraints}; mixed integers {perf_counter() - start:.2f} s, {'the same' if same else 'another total'}"


def main() -> None:
    """Print a line a family."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--seeds", type=int, default=10)
    arguments.add_argument("--seconds", type=float, default=30.0)
    arguments.add_argument("--compared", type=int, default=1)
    given = arguments.parse_args()
    table(orderly(20, MODELS, 0))
    print("| build | median s | longest s | CPU, median s | CPU, most s | rows proven |")
    print("| --- | --- | --- | --- | --- | --- |")
    for name, build in BUILDS.items():
        found = [table(build(seed)) for seed in range(1, given.seeds + 1)]
        times, busy = ([each[part] for each in found] for part in (0, 1))
        proven = f"{sum(rows for _, _, rows in found)} of {8 * len(found)}"
        figures = " | ".join(f"{value:.3f}" for value in (median(times), max(times), median(busy), max(busy)))
        print(f"| {name} | {figures} | {proven} |", flush=True)
    for name in ("orderly, 120 classes", "orderly, 1,500 classes", "no order at all, 120 classes"):
        for seed in range(1, given.compared + 1):
            print(f"{name}, build {seed}: {compared(BUILDS[name](seed), given.seconds)}", flush=True)


if __name__ == "__main__":
    main()
