"""Open bin packing data through the very same core, as trays of one bank: the share solved beside published ones.

Run with ``python -m tests.bench.open_data [--seconds S] [--nodes N] [--class NAME ...] [--every N] [--json FILE]``. The
data (Falkenauer; Scholl, Klein and Juergens; Schwerin and Waescher; the hard 28; variable sizes by Haouari and Serairi,
all as collected by Delorme, Iori and Martello, Optimization Letters 12, 2018) are not part of this project: they are
read from ``../shared/data/bin-packing`` or where ``TRAYWRIGHT_SHARED_DATA`` says. An instance is solved where the
answer is proven within the limits; exits 1 where a proven answer is not the known optimum or a bound passes it.

Published shares are of an arc-flow model under a commercial integer programming solver within one minute: Brandao and
Pedroso, Computers and Operations Research 69 (2016); quoted from a summary, the tables themselves were not read again.
Where they are given for several classes of one author together, each class shows the common figure.
"""

from __future__ import annotations

import argparse
import json
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from service.planning.packing import NODE_LIMIT, Item, Packing, Problem, TrayKind, solve
from tests.bench.machine import machine

SHARED = Path(
    os.environ.get("TRAYWRIGHT_SHARED_DATA") or Path(__file__).resolve().parents[2] / ".." / "shared" / "data"
)
PUBLISHED: dict[str, int | None] = {
    "falkenauer_u": 100,
    "falkenauer_t": 100,
    "scholl_1": 93,
    "schwerin_1": 100,
    "hard28": 86,
    "vsbpp_haouari_serairi": None,
}
"""Classes, and the published share in per cent; None where none is at hand (its optima are not recorded either)."""


class OutOfTimeError(Exception):
    """The time limit ended an instance."""


@dataclass(frozen=True, slots=True)
class Run:
    """One instance: whether it was proven, the time, and what is wrong with the answer."""

    name: str
    proven: bool
    seconds: float
    gap: int | None
    wrong: str


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Raises OutOfTimeError inside when the seconds are over."""

    def stop(*_: object) -> None:
        raise OutOfTimeError

    before = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


def problem_from(data: dict[str, Any]) -> Problem:
    """Bins as trays of one bank; bins of several sizes are to cost least."""
    sizes = [size for size, times in data["wd"] for _ in range(times)]
    bins = data.get("bins") or [[data["c"], len(sizes), 1]]
    items = tuple(Item(0, size, (0,) * len(bins)) for size in sizes)
    kinds = tuple(TrayKind(1, min(most, len(sizes)), ((room,),), cost) for room, most, cost in bins)
    return Problem(1, kinds, len(sizes), items, "never", "price" if "bins" in data else "trays")


def judged(data: dict[str, Any], packing: Packing | None, seconds: float) -> Run:
    """Hold an answer against the known optimum; None is one that did not come in time."""
    if packing is None or packing.bounds is None:
        return Run(data["name"], False, seconds, None, "")
    bounds, best = packing.bounds, data.get("opt")
    proven = bounds.cost == bounds.cost_bound
    wrong = ""
    if best is not None and not bounds.cost_bound <= best <= bounds.cost:
        wrong = f"{data['name']}: between {bounds.cost_bound} and {bounds.cost} is claimed, {best} is known"
    return Run(data["name"], proven, seconds, bounds.cost - bounds.cost_bound, wrong)


def run(data: dict[str, Any], seconds: float, nodes: int) -> Run:
    """Solve one instance within the limits."""
    problem = problem_from(data)
    packing: Packing | None = None
    began = perf_counter()
    try:
        with time_limit(seconds):
            packing = solve(problem, nodes)
    except OutOfTimeError:
        pass
    return judged(data, packing, perf_counter() - began)


def main() -> int:
    """Print a line a class; 1 where an answer contradicts a known optimum, 2 where the data are not at hand."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=60.0, help="time limit of one instance")
    parser.add_argument("--nodes", type=int, default=NODE_LIMIT, help="node limit of one instance")
    parser.add_argument("--class", dest="classes", nargs="*", choices=tuple(PUBLISHED), help="only these classes")
    parser.add_argument("--every", type=int, default=1, help="take one instance in so many")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    folder = SHARED / "bin-packing"
    if not folder.is_dir():
        print(f"the open bin packing data are not at {folder} (set TRAYWRIGHT_SHARED_DATA)", file=sys.stderr)
        return 2
    print(f"each instance at most {options.seconds:g} s and {options.nodes} nodes; ms are of all instances")
    print(f"{'class':24} {'instances':>9} {'proven':>7} {'share':>6} {'published':>9} {'median ms':>10} {'longest':>9}")
    table: dict[str, Any] = {}
    wrong: list[str] = []
    for name in options.classes or PUBLISHED:
        lines = (folder / f"{name}.jsonl").read_text("utf-8").splitlines()[:: options.every]
        runs = [run(json.loads(line), options.seconds, options.nodes) for line in lines]
        proven = sum(each.proven for each in runs)
        wrong += [each.wrong for each in runs if each.wrong]
        times = [each.seconds * 1e3 for each in runs]
        published = "-" if PUBLISHED[name] is None else f"{PUBLISHED[name]}%"
        print(f"{name:24} {len(runs):9} {proven:7} {proven / len(runs):6.1%} {published:>9} {median(times):10.1f} "
              f"{max(times):9.0f}", flush=True)  # fmt: skip
        table[name] = {"instances": len(runs), "proven": proven, "published_percent": PUBLISHED[name]}
        table[name] |= {"median_ms": median(times), "longest_ms": max(times)}
        table[name]["not_proven"] = [{"name": each.name, "gap": each.gap} for each in runs if not each.proven]
    for text in wrong:
        print(f"WRONG: {text}")
    if options.json:
        document = {"machine": machine(), "seconds": options.seconds, "nodes": options.nodes, "classes": table}
        options.json.write_text(json.dumps(document, indent=1) + "\n")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
