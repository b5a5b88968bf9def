"""How much memory the packing core takes over its start, family by family, each in a fresh process.

Run with ``python -m tests.bench.memory [--cases N] [--family NAME ...] [--json FILE]``. The resident set is read from
the kernel (Linux); ``traced`` is the most that Python objects took at once, counted in a run of its own, for counting
slows it down. The last lines are all families in one process, without and with the last-resort solver imported. The
target is 50 MB over start; start is the interpreter with the core imported.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tracemalloc
from importlib import import_module
from pathlib import Path
from typing import Any

from service.planning.packing import solve
from tests.bench.families import FAMILIES, problem_of
from tests.bench.machine import machine

TARGET_MB = 50.0
SOLVER = "highspy"


def resident_mb(field: str = "VmRSS") -> float:
    """The resident set now; with ``VmHWM`` the largest so far."""
    fields = dict(line.split(":", 1) for line in Path("/proc/self/status").read_text("utf-8").splitlines())
    return int(fields[field].split()[0]) / 1024


def measured(families: list[str], cases: int, traced: bool, solver: bool) -> dict[str, Any]:
    """In this process: solve the cases one after the other, keep no answer, and tell what it took."""
    start = resident_mb()
    if solver:
        import_module(SOLVER)
    after_import = resident_mb()
    if traced:
        tracemalloc.start()
    for family in families:
        for seed in range(cases):
            solve(problem_of(family, seed))
    found: dict[str, Any] = {"start_mb": start, "import_mb": after_import - start}
    if traced:
        found["traced_mb"] = tracemalloc.get_traced_memory()[1] / 2**20
    else:
        found["over_start_mb"] = max(0.0, resident_mb("VmHWM") - start)
        found["solver_loaded"] = SOLVER in sys.modules
    return found


def in_fresh_process(families: list[str], cases: int, traced: bool = False, solver: bool = False) -> dict[str, Any]:
    """The same in a process of its own."""
    command = [sys.executable, "-m", "tests.bench.memory", "--here", "--cases", str(cases), "--family", *families]
    command += [*(["--traced"] if traced else []), *(["--solver"] if solver else [])]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    document: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return document


def main() -> None:
    """Print a line a family and the sums."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cases", type=int, default=20, help="cases a family")
    parser.add_argument("--family", nargs="*", choices=tuple(FAMILIES), help="only these families")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    parser.add_argument("--here", action="store_true", help=argparse.SUPPRESS)
    parser.add_argument("--traced", action="store_true", help=argparse.SUPPRESS)
    parser.add_argument("--solver", action="store_true", help=argparse.SUPPRESS)
    options = parser.parse_args()
    families = options.family or list(FAMILIES)
    if options.here:
        print(json.dumps(measured(families, options.cases, options.traced, options.solver)))
        return
    print(f"{'':24} {'start':>8} {'over start':>11} {'traced':>8}   MB; over start at most {TARGET_MB:g}")
    table: dict[str, dict[str, Any]] = {}
    rounds: list[tuple[str, list[str], bool]] = [(family, [family], False) for family in families]
    rounds += [("all in one", families, False), ("all, solver imported", families, True)]
    for name, some, solver in rounds:
        found = in_fresh_process(some, options.cases, solver=solver)
        if not solver:
            found |= {"traced_mb": in_fresh_process(some, min(options.cases, 5), traced=True)["traced_mb"]}
        table[name] = found
        traced = f"{found['traced_mb']:8.1f}" if "traced_mb" in found else f"{'-':>8}"
        met = "" if found["over_start_mb"] <= TARGET_MB else "   NOT MET"
        used = "   (solver loaded)" if found["solver_loaded"] else ""
        print(f"{name:24} {found['start_mb']:8.1f} {found['over_start_mb']:11.1f} {traced}{used}{met}", flush=True)
    if options.json:
        options.json.write_text(json.dumps({"machine": machine(), "families": table}, indent=1) + "\n")


if __name__ == "__main__":
    main()
