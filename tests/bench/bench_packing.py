"""How fast the packing core is and how much it proves, beside a general solver on the same model and simple rules.

Run with ``python -m tests.bench.bench_packing [--cases N] [--compared N] [--seconds S] [--json FILE]``.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from statistics import mean, median
from time import perf_counter

from service.planning.packing import Packing, Problem, solve
from tests.bench.hubs import HUBS, hub
from tests.bench.simple_rules import trays_by_rule
from tests.planning.packing.cases import FAMILIES, realistic
from tests.planning.packing.general_solver import judged_by_general_solver

Figures = dict[str, float]


def problem_of(family: str, seed: int) -> Problem:
    """The problem of a family and a seed."""
    return hub(seed, *HUBS[family]) if family in HUBS else realistic(family, seed)


def decided(packing: Packing) -> bool:
    """Whether the answer is proven, be it that nothing fits."""
    return packing.fits is False or bool(packing.bounds and packing.bounds.optimal)


def figures(times: list[float], proven: int) -> Figures:
    """Median and p99 in milliseconds (of few cases p99 is the longest), and the share proven."""
    ordered = sorted(times)
    p99 = ordered[min(len(ordered) - 1, len(ordered) * 99 // 100)]
    return {"median_ms": median(times) * 1e3, "p99_ms": p99 * 1e3, "proven": proven / len(times), "cases": len(times)}


def timed(problems: list[Problem], answer: Callable[[Problem], bool]) -> Figures:
    """Figures of a solver that says whether it proved its answer."""
    times: list[float] = []
    proven = 0
    for problem in problems:
        start = perf_counter()
        proven += answer(problem)
        times.append(perf_counter() - start)
    return figures(times, proven)


def excess(problems: list[Problem], answers: list[Packing], best: bool) -> Figures | None:
    """Trays that a simple rule buys beyond the proven optimum: their mean, and the share of cases it has no answer."""
    over: list[int] = []
    lost = cases = 0
    for problem, answer in zip(problems, answers, strict=True):
        if answer.bounds is None or not answer.bounds.optimal or problem.minimise != "trays":
            continue
        if problem.hanging or any(problem.reserve):
            continue
        cases += 1
        trays = trays_by_rule(problem, best)
        if trays is None:
            lost += 1
        else:
            over.append(trays - answer.bounds.cost)
    return {"excess_trays": mean(over), "no_answer": lost / cases, "cases": cases} if over else None


def line(found: Figures | None, compared: bool = True) -> str:
    """One cell of the table."""
    if not found:
        return f"{'-':>22}" if compared else f"{'-':>12}"
    if compared:
        return f"{found['median_ms']:8.2f} {found['p99_ms']:7.0f} {found['proven']:5.0%}"
    return f"{found['excess_trays']:6.2f} {found['no_answer']:5.0%}"


def main() -> None:
    """Print the table, and write it as JSON where a file is named."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=100, help="cases a family")
    parser.add_argument("--compared", type=int, default=5, help="of these with the general solver")
    parser.add_argument("--seconds", type=float, default=5.0, help="time limit of the general solver")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    print(f"{'family':16} {'core: ms, p99, proven':>22} | {'CP-SAT, 1 worker':>22} | {'CP-SAT, 2 workers':>22} | "
          f"{'FFD excess':>12} | {'BFD excess':>12}")  # fmt: skip
    table: dict[str, dict[str, Figures | None]] = {}
    for family in (*FAMILIES, *HUBS):
        count = min(options.cases, 20) if family == "extreme" or family.endswith("24l") else options.cases
        problems = [problem_of(family, seed) for seed in range(count)]
        answers: list[Packing] = []

        def core(problem: Problem, kept: list[Packing] = answers) -> bool:
            kept.append(solve(problem))
            return decided(kept[-1])

        def general(problem: Problem, workers: int) -> bool:
            return judged_by_general_solver(problem, options.seconds, workers).proven

        some = problems[: options.compared]
        table[family] = row = {"core": timed(problems, core)}
        for workers in (1, 2):
            row[f"cp_sat_{workers}"] = timed(some, lambda p, n=workers: general(p, n)) if some else None
        row["first_fit_decreasing"] = excess(problems, answers, best=False)
        row["best_fit_decreasing"] = excess(problems, answers, best=True)
        solvers = " | ".join(line(row[name]) for name in ("core", "cp_sat_1", "cp_sat_2"))
        rules = " | ".join(line(row[name], False) for name in ("first_fit_decreasing", "best_fit_decreasing"))
        print(f"{family:16} {solvers} | {rules}", flush=True)
    if options.json:
        options.json.write_text(json.dumps(table, indent=1) + "\n")


if __name__ == "__main__":
    main()
