"""The long forms of the fault and abuse tests, each a few rows of a table (run by ``long``)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from tests.faults.abuse import beside_slow_clients, large_bodies, memory_over, server_on_file
from tests.faults.history.running import Recorded, recorded_history
from tests.faults.killing import Run, killed_at_random, sqlite_url
from tests.faults.private_postgres import PrivatePostgres, private_postgres
from tests.faults.progress import Progress
from tests.faults.written import catalogue, request

KILLS, WRITES = 250, 10_000
"""On each of the two databases."""

OPERATIONS, HISTORY_KILLS = 10_000, 40
"""Of each history; each database is left alone in one, and in another not."""

SLOW, SLOW_S = 500, 60.0
REQUESTS = 100_000


class Row(NamedTuple):
    """A row of the table, and what was wrong in words."""

    trial: str
    told: str
    faults: list[str]


def _counted(counts: Counter[str] | Counter[int]) -> str:
    return ", ".join(f"{what} {count:,}" for what, count in sorted(counts.items()))


def _killed(trial: str, run: Run) -> Row:
    told = (
        f"{run.kills.total()} kills ({_counted(run.kills)}); {run.writes.total():,} acknowledged writes "
        f"({_counted(run.writes)}); sent again {run.again:,}; answers {_counted(run.statuses)}"
    )
    return Row(trial, told, run.faults)


def _recorded(trial: str, run: Recorded) -> Row:
    killed = f"; {run.kills.total()} kills ({_counted(run.kills)})" if run.kills else ""
    told = f"{run.outcomes.total():,} operations ({_counted(run.outcomes)}){killed}"
    return Row(trial, told, run.faults)


def kills_sqlite(scale: float, folder: Path, going_on: Progress) -> Iterator[Row]:
    """Server and worker killed while eight clients write."""
    kills, writes = max(1, int(KILLS * scale)), int(WRITES * scale)
    run = killed_at_random(sqlite_url(folder), catalogue(), request(), kills, writes, seed=11, going_on=going_on)
    yield _killed("kills, SQLite", run)


def kills_postgresql(scale: float, folder: Path, going_on: Progress) -> Iterator[Row]:
    """The same, PostgreSQL among those that are killed."""
    kills, writes = max(1, int(KILLS * scale)), int(WRITES * scale)
    with private_postgres() as postgres:
        run = killed_at_random(
            postgres.url, catalogue(), request(), kills, writes, seed=12, postgres=postgres, going_on=going_on
        )
    yield _killed("kills, PostgreSQL", run)


def history(scale: float, folder: Path, going_on: Progress) -> Iterator[Row]:
    """Eight clients on two servers of each database, left alone and killed; what they saw of one another is checked."""
    operations, kills = int(OPERATIONS * scale), max(1, int(HISTORY_KILLS * scale))

    def recorded(url: str, kills: int, postgres: PrivatePostgres | None = None) -> Recorded:
        return recorded_history(url, operations, 13 + kills, kills, postgres, going_on)

    yield _recorded("history, SQLite", recorded(sqlite_url(folder), 0))
    (folder / "again").mkdir()
    yield _recorded("history with kills, SQLite", recorded(sqlite_url(folder / "again"), kills))
    with private_postgres() as postgres:
        yield _recorded("history, PostgreSQL", recorded(postgres.url, 0))
    with private_postgres() as postgres:
        yield _recorded("history with kills, PostgreSQL", recorded(postgres.url, kills, postgres))


def slow(scale: float, folder: Path, going_on: Progress) -> Iterator[Row]:
    """500 slow heads and 500 slow bodies beside honest requests."""
    with server_on_file(folder) as server:
        alone, beside, ended = beside_slow_clients(server, SLOW, SLOW, SLOW_S * scale)
    p99, with_slow = alone.at(0.99) * 1000, beside.at(0.99) * 1000
    told = (
        f"{SLOW} slow heads and {SLOW} slow bodies for {SLOW_S * scale:.0f} s ({ended} ended by the server): "
        f"{len(beside.seconds):,} honest requests, not answered {len(beside.wrong)}; p50 {alone.at(0.5) * 1000:.0f} ms "
        f"alone, {beside.at(0.5) * 1000:.0f} ms beside them; p99 {p99:.0f} ms alone, {with_slow:.0f} ms beside them"
    )
    slowed = [f"p99 {with_slow:.0f} ms is twice {p99:.0f} ms or more"] if with_slow >= 2 * p99 else []
    yield Row("slow clients", told, beside.wrong + slowed)


def large(scale: float, folder: Path, going_on: Progress) -> Iterator[Row]:
    """Very large bodies."""
    with server_on_file(folder) as server:
        found = large_bodies(server)
    told = "; ".join(f"{name}: {status}, {growth:+.1f} MB" for name, (status, growth) in found.items())
    wrong = [
        f"{name}: {status}, {growth:+.1f} MB"
        for name, (status, growth) in found.items()
        if growth >= 50 or status not in (0, 400, 413, 422)
    ]
    yield Row("very large bodies", told, wrong)


def memory(scale: float, folder: Path, going_on: Progress) -> Iterator[Row]:
    """The server's memory over very many requests."""
    count = int(REQUESTS * scale)
    with server_on_file(folder) as server:
        taken = memory_over(server, count, going_on=going_on)
    told = f"MB after each tenth of {count:,} requests: {', '.join(f'{each:.1f}' for each in taken)}"
    yield Row("memory", told, ["it grew by 10 MB or more"] if taken[-1] - taken[0] >= 10 else [])


FORMS: dict[str, Callable[[float, Path, Progress], Iterator[Row]]] = {
    "kills-sqlite": kills_sqlite,
    "kills-postgresql": kills_postgresql,
    "history": history,
    "slow": slow,
    "large": large,
    "memory": memory,
}
