"""The long forms of the fault and abuse tests, with a table of what they came to.

Run with ``python -m tests.faults.long [kills-sqlite] [kills-postgresql] [slow] [large] [memory]`` (none named: all).
``--scale 0.1`` makes them shorter. The exit code is 1 where anything was lost, doubled, broken or not answered.
"""

from __future__ import annotations

import argparse
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.bench.machine import machine
from tests.faults.abuse import beside_slow_clients, large_bodies, memory_over, server_on_file
from tests.faults.killing import Run, killed_at_random, sqlite_url
from tests.faults.private_postgres import private_postgres
from tests.faults.written import catalogue, request

KILLS, WRITES = 250, 10_000
"""On each of the two databases."""

SLOW, SLOW_S = 500, 60.0
REQUESTS = 100_000

Outcome = tuple[str, bool]
"""What it came to in words, and whether it held."""


def _told(run: Run) -> Outcome:
    kills = ", ".join(f"{who} {count}" for who, count in sorted(run.kills.items()))
    writes = ", ".join(f"{kind} {count}" for kind, count in sorted(run.writes.items()))
    statuses = ", ".join(f"{status}: {count}" for status, count in sorted(run.statuses.items()))
    lines = [
        f"kills {sum(run.kills.values())} ({kills}), acknowledged writes {sum(run.writes.values())} ({writes}),",
        f"sent again {run.again}, answers {statuses}, {run.seconds:.0f} s; faults {len(run.faults)}",
        *run.faults[:20],
    ]
    return "\n  ".join(lines), not run.faults


def kills_sqlite(scale: float, folder: Path) -> Outcome:
    """Server and worker killed while eight clients write."""
    kills, writes = int(KILLS * scale), int(WRITES * scale)
    return _told(killed_at_random(sqlite_url(folder), catalogue(), request(), kills, writes, seed=11))


def kills_postgresql(scale: float, folder: Path) -> Outcome:
    """The same, PostgreSQL among those that are killed."""
    kills, writes = int(KILLS * scale), int(WRITES * scale)
    with private_postgres() as postgres:
        return _told(killed_at_random(postgres.url, catalogue(), request(), kills, writes, seed=12, postgres=postgres))


def slow(scale: float, folder: Path) -> Outcome:
    """500 slow heads and 500 slow bodies beside honest requests."""
    with server_on_file(folder) as server:
        alone, beside, ended = beside_slow_clients(server, SLOW, SLOW, SLOW_S * scale)
    p99, with_slow = alone.at(0.99) * 1000, beside.at(0.99) * 1000
    told = (
        f"{SLOW} slow heads and {SLOW} slow bodies for {SLOW_S * scale:.0f} s ({ended} ended by the server): honest "
        f"requests {len(beside.seconds)}, not answered {len(beside.wrong)}; p50 {alone.at(0.5) * 1000:.0f} ms alone, "
        f"{beside.at(0.5) * 1000:.0f} ms beside them; p99 {p99:.0f} ms alone, {with_slow:.0f} ms beside them"
    )
    return told, not beside.wrong and with_slow < 2 * p99


def large(scale: float, folder: Path) -> Outcome:
    """Very large bodies."""
    with server_on_file(folder) as server:
        found = large_bodies(server)
    told = "; ".join(f"{name}: {status}, {growth:+.1f} MB" for name, (status, growth) in found.items())
    return told, all(growth < 50 and status in (0, 400, 413, 422) for status, growth in found.values())


def memory(scale: float, folder: Path) -> Outcome:
    """The server's memory over very many requests."""
    count = int(REQUESTS * scale)
    with server_on_file(folder) as server:
        taken = memory_over(server, count)
    return f"after each tenth of {count} requests, MB: {taken}", taken[-1] - taken[0] < 10


FORMS: dict[str, Callable[[float, Path], Outcome]] = {
    "kills-sqlite": kills_sqlite,
    "kills-postgresql": kills_postgresql,
    "slow": slow,
    "large": large,
    "memory": memory,
}


def main() -> int:
    """Run the forms that are named and print what they came to."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.long")
    parser.add_argument("forms", nargs="*", metavar="form", help=", ".join(FORMS))
    parser.add_argument("--scale", type=float, default=1.0)
    options = parser.parse_args()
    unknown = set(options.forms) - set(FORMS)
    if unknown:
        parser.error(f"there is no {', '.join(sorted(unknown))}; choose from {', '.join(FORMS)}")
    print(machine(), flush=True)
    good = True
    for name in options.forms or FORMS:
        began = time.monotonic()
        with tempfile.TemporaryDirectory() as folder:
            told, held = FORMS[name](options.scale, Path(folder))
        good = good and held
        print(f"{name}: {'held' if held else 'NOT HELD'} ({time.monotonic() - began:.0f} s)\n  {told}", flush=True)
    return 0 if good else 1


if __name__ == "__main__":
    raise SystemExit(main())
