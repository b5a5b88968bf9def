"""How fast the packing core is, and how much it proves, beside a general solver on the same model.

Run with ``python -m tests.bench.bench_packing [cases a family] [of these with the general solver]``.
"""

from __future__ import annotations

import sys
from statistics import median
from time import perf_counter

from service.planning.packing import solve
from tests.planning.packing.cases import FAMILIES, realistic
from tests.planning.packing.general_solver import judged_by_general_solver


def row(times: list[float], proven: int) -> str:
    """Median and p99 in milliseconds, and the share proven."""
    if not times:
        return f"{'-':>9} {'-':>9} {'-':>7}"
    ordered = sorted(times)
    p99 = ordered[min(len(ordered) - 1, len(ordered) * 99 // 100)]
    return f"{median(times) * 1e3:9.2f} {p99 * 1e3:9.1f} {proven / len(times):7.1%}"


def main(cases: int = 100, compared: int = 5) -> None:
    """Print the table: family, then (median ms, p99 ms, proven) of the core and of the general solver."""
    print(f"{'family':12} {'core ms':>9} {'p99 ms':>9} {'proven':>7} {'CP-SAT':>9} {'p99 ms':>9} {'proven':>7}")
    for family in FAMILIES:
        ours: list[float] = []
        theirs: list[float] = []
        proven = proven_theirs = 0
        for seed in range(cases if family != "extreme" else min(cases, 20)):
            problem = realistic(family, seed)
            start = perf_counter()
            packing = solve(problem)
            ours.append(perf_counter() - start)
            proven += packing.fits is False or bool(packing.bounds and packing.bounds.optimal)
            if seed < compared:
                start = perf_counter()
                verdict = judged_by_general_solver(problem, seconds=5.0)
                theirs.append(perf_counter() - start)
                proven_theirs += verdict.proven
        print(f"{family:12} {row(ours, proven)} {row(theirs, proven_theirs)}", flush=True)


if __name__ == "__main__":
    main(*(int(argument) for argument in sys.argv[1:3]))
