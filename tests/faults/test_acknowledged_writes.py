"""Eight clients write whatever can be written while servers, workers, PostgreSQL are killed: nothing lost or doubled.

The long form of the same: ``python -m tests.faults.long kills-sqlite kills-postgresql``.
"""

from __future__ import annotations

from pathlib import Path

from tests.faults.killing import Run, killed_at_random, sqlite_url
from tests.faults.private_postgres import private_postgres
from tests.faults.written import catalogue, request

KILLS, WRITES = 25, 1_000
KINDS = {
    "catalogue", "installations", "order_states", "orders", "places", "plans", "records", "removed", "stock",
    "takeoffs", "tokens", "visits",
}  # fmt: skip


def insist_on_nothing_lost(run: Run) -> None:
    """As many kills and writes as were asked for, and no fault of any kind."""
    assert run.faults[:5] == []
    assert sum(run.kills.values()) == KILLS and run.kills["server"] > 5
    assert sum(run.writes.values()) >= WRITES
    assert set(run.writes) == KINDS and min(run.writes.values()) >= 8, run.writes
    # Kills were felt: requests had to be sent again.
    assert run.again > KILLS


def test_sqlite_keeps_every_acknowledged_write_exactly_once(tmp_path: Path) -> None:
    """Server and worker killed 25 times over 1,000 writes: each once, opened, verified, balanced, on record."""
    insist_on_nothing_lost(killed_at_random(sqlite_url(tmp_path), catalogue(), request(), KILLS, WRITES, seed=1))


def test_postgresql_keeps_every_acknowledged_write_exactly_once() -> None:
    """The same where PostgreSQL itself is among those that are killed: 503 meanwhile, and nothing is lost."""
    with private_postgres() as postgres:
        run = killed_at_random(postgres.url, catalogue(), request(), KILLS, WRITES, seed=2, postgres=postgres)
    insist_on_nothing_lost(run)
    assert run.kills["PostgreSQL"] > 3
    assert set(run.statuses) <= {200, 201, 202, 204, 404, 409, 412, 503}
