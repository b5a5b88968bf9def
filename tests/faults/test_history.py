"""Histories of eight clients on two servers of one database are linearizable: no update is lost, no read is stale.

The long form of the same: ``python -m tests.faults.long history``.
"""

from __future__ import annotations

import itertools
from pathlib import Path

from tests.faults.history.running import Recorded, recorded_history
from tests.faults.killing import sqlite_url
from tests.faults.private_postgres import private_postgres

OPERATIONS, KILLS = 1_500, 6


def insist_on_nothing_wrong(run: Recorded, kills: int) -> None:
    """No fault; and the run was one in which something could have gone wrong."""
    assert run.faults[:5] == []
    assert sum(run.kills.values()) == kills
    outcomes = run.outcomes
    assert min(outcomes[each] for each in ("read", "unmodified", "written", "refused")) > OPERATIONS / 50, outcomes
    # Operations on one thing overlapped: the history was not one after the other.
    began = sorted(run.history, key=lambda each: each.began)
    assert sum(later.began < each.ended for each, later in itertools.pairwise(began)) > OPERATIONS / 10
    # Without kills an answer may still be missed, on a machine that is busy beyond patience.
    assert outcomes["unknown"] or not kills


def test_sqlite_loses_no_update(tmp_path: Path) -> None:
    """An entry, a hung closure, orders and stock: each write replaced what its client had read, each read is fresh."""
    insist_on_nothing_wrong(recorded_history(sqlite_url(tmp_path), OPERATIONS, seed=1), 0)


def test_sqlite_loses_no_update_while_servers_are_killed(tmp_path: Path) -> None:
    """The same where both servers are killed in turn; a write whose answer was lost happened once or not at all."""
    insist_on_nothing_wrong(recorded_history(sqlite_url(tmp_path), OPERATIONS, seed=2, kills=KILLS), KILLS)


def test_postgresql_loses_no_update_and_none_while_it_is_killed() -> None:
    """The same on PostgreSQL, first left alone; then it is killed itself, too."""
    with private_postgres() as postgres:
        insist_on_nothing_wrong(recorded_history(postgres.url, OPERATIONS, seed=3), 0)
    with private_postgres() as postgres:
        run = recorded_history(postgres.url, OPERATIONS, seed=4, kills=KILLS, postgres=postgres)
    insist_on_nothing_wrong(run, KILLS)
    assert run.kills["PostgreSQL"]
