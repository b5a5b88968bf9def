"""Processes that begin together, and processes that are killed."""

from __future__ import annotations

import multiprocessing
import os
import signal
from multiprocessing.connection import Connection as Pipe

from service.store import Store, open_store
from tests.store.plan_rows import new_key, new_plan

_context = multiprocessing.get_context("spawn")


def upgrade_together(url: str, together: object) -> None:
    store = open_store(url)
    together.wait()  # type: ignore[attr-defined]
    store.upgrade()
    store.catalogue_revision()
    store.close()


def test_processes_that_upgrade_at_the_same_moment_do_not_collide(url: str) -> None:
    """Four find no database, one makes it, the others wait and find it made: one cursor key, no error."""
    together = _context.Barrier(4)
    processes = [_context.Process(target=upgrade_together, args=(url, together)) for _ in range(4)]
    for process in processes:
        process.start()
    for process in processes:
        process.join(60)
    assert [process.exitcode for process in processes] == [0] * 4
    store = open_store(url)
    with store._engines.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM catalogue_state").scalar_one() == 1
    store.close()


def store_without_end(url: str, prefix: int, told: Pipe) -> None:
    store = open_store(url)
    snapshot = store.snapshot()
    for number in range(100_000):
        plan_id = f"{prefix:016x}{number:016x}"
        store.add_plan(new_plan(snapshot, id=plan_id), snapshot, idempotency=new_key(plan_id))
        told.send(plan_id)


def test_what_was_told_to_be_stored_outlives_a_kill(store: Store, url: str) -> None:
    """Processes are killed while they store plans: every plan they told of is there, each with its key, none twice."""
    told: list[str] = []
    for kill in range(3):
        receive, send = _context.Pipe(duplex=False)
        process = _context.Process(target=store_without_end, args=(url, kill, send))
        process.start()
        send.close()
        while len(told) < 25 * (kill + 1):
            told.append(receive.recv())
        assert process.pid is not None
        os.kill(process.pid, signal.SIGKILL)
        process.join()
        while receive.poll():
            try:
                told.append(receive.recv())
            except EOFError:
                break
        receive.close()
    stored = list(store.plan_ids())
    assert set(told) <= set(stored)
    # The last plan of each process may have been stored without its word getting out.
    assert len(stored) - len(told) <= 3
    assert all(store.idempotent(plan_id) is not None for plan_id in stored)
    if store._engines.is_sqlite:
        with store._engines.reading() as connection:
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar_one() == "ok"
