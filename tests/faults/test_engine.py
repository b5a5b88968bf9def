"""Takeoffs delivered by Procrastinate on PostgreSQL: woken at once, fetched back from the dead, each planned once."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Iterator

import psycopg
import pytest

from service.building.embedded import EmbeddedWorkers
from service.building.engine_worker import work_for_engine
from service.store import Store, open_store
from tests.building.made_work import MADE, build, finished, insist_on_each_once
from tests.store.takeoff_rows import started
from tests.stores import emptied

_context = multiprocessing.get_context("spawn")


@pytest.fixture
def engine_url(postgres_url: str) -> str:
    """The URL of an empty database on PostgreSQL."""
    return emptied(postgres_url)


@pytest.fixture
def engine_store(engine_url: str) -> Iterator[Store]:
    """An upgraded, empty store whose chunks the engine is told of."""
    store = open_store(engine_url)
    store.upgrade()
    store.takeoffs.deliver_by_engine()
    yield store
    store.close()


def jobs(url: str) -> list[tuple[object, ...]]:
    with psycopg.connect(url) as connection:
        return connection.execute(
            "SELECT (args->>'chunk')::int, priority FROM procrastinate_jobs ORDER BY id"
        ).fetchall()


def test_a_job_is_there_exactly_where_its_chunk_is(engine_store: Store, engine_url: str) -> None:
    """They come in one transaction: started, every chunk has one, by its turn; rolled back, none has."""
    deliver = engine_store.takeoffs.deliver
    assert deliver is not None

    def breaks_off(*arguments: object) -> None:
        deliver(*arguments)  # type: ignore[arg-type]
        raise RuntimeError("killed before the commit")

    engine_store.takeoffs.deliver = breaks_off
    with pytest.raises(RuntimeError):
        build(engine_store, 3)
    assert jobs(engine_url) == []
    engine_store.takeoffs.deliver = deliver
    build(engine_store, 3)
    told = jobs(engine_url)
    assert [priority for _chunk, priority in told] == [0, -1, -2]
    chunks = [engine_store.takeoffs.work.lease("worker", chunk=int(str(chunk))) for chunk, _priority in told]
    assert [(chunk.first, chunk.last) for chunk in chunks if chunk] == [(1, 1), (2, 2), (3, 3)]


def test_jobs_of_another_version_are_left_to_its_workers(engine_store: Store, engine_url: str) -> None:
    """Workers of this version do their own takeoff; the other's jobs stay as they are, to be delivered to its own."""
    other, own = started(engine_store, 3, version="0.0.1"), build(engine_store, 20)
    with EmbeddedWorkers(engine_url, MADE, 1, engine=True):
        finished(engine_store, own)
    insist_on_each_once(engine_store, own, 20)
    assert engine_store.takeoffs.get(other).planned == 0
    assert len(jobs(engine_url)) == 3


def test_processes_that_begin_together_make_the_engines_tables_once(engine_url: str) -> None:
    """Four stores at one moment: the tables are there, and no error."""
    stores = [open_store(engine_url) for _ in range(4)]
    stores[0].upgrade()
    together, failed = threading.Barrier(4), []

    def begin(store: Store) -> None:
        together.wait()
        try:
            store.takeoffs.deliver_by_engine()
        except Exception as error:
            failed.append(error)

    threads = [threading.Thread(target=begin, args=(store,)) for store in stores]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    build(stores[0], 2)
    assert len(jobs(engine_url)) == 2
    for store in stores:
        store.close()


def test_a_worker_killed_in_mid_chunk_has_its_chunk_fetched_back(engine_store: Store, engine_url: str) -> None:
    """Nobody looks after the two workers but they themselves: the other is given the chunk before its lease ends."""
    arguments = (engine_url, MADE, os.getpid(), 60.0)
    workers = [_context.Process(target=work_for_engine, args=arguments) for _ in range(2)]
    for worker in workers:
        worker.start()
    takeoff_id = build(engine_store, 60, repeats=2, sleep=0.03)
    while not engine_store.takeoffs.work.lessees():
        time.sleep(0.005)
    dead = int(engine_store.takeoffs.work.lessees()[0].split("/")[1])
    os.kill(dead, signal.SIGKILL)
    finished(engine_store, takeoff_id, within_s=45.0)
    insist_on_each_once(engine_store, takeoff_id, 60, 2)
    for worker in workers:
        worker.terminate()
        worker.join(30)
    assert sorted(worker.exitcode or 0 for worker in workers) == [-signal.SIGKILL, 0]
    assert jobs(engine_url) == []


def test_everything_killed_and_begun_again_goes_on(engine_store: Store, engine_url: str) -> None:
    """Both workers are killed in mid-chunk; those that come after them finish, each demand once, in three stages."""
    takeoff_id = build(engine_store, 120, closure_kinds=1, sleep=0.01)
    with EmbeddedWorkers(engine_url, MADE, 2, engine=True) as workers:
        while engine_store.takeoffs.get(takeoff_id).judged < 20 or not engine_store.takeoffs.work.lessees():
            time.sleep(0.01)
        for process in workers.process_ids():
            os.kill(process, signal.SIGKILL)
    assert engine_store.takeoffs.get(takeoff_id).state == "running"
    with EmbeddedWorkers(engine_url, MADE, 2, engine=True):
        finished(engine_store, takeoff_id)
    insist_on_each_once(engine_store, takeoff_id, 120)


def test_chunks_that_the_engine_was_never_told_of_are_found(engine_store: Store, engine_url: str) -> None:
    """A service that knows no engine received the takeoff: workers of the engine do it all the same."""
    engine_store.takeoffs.deliver = None
    takeoff_id = build(engine_store, 40)
    with EmbeddedWorkers(engine_url, MADE, 1, engine=True):
        finished(engine_store, takeoff_id)
    insist_on_each_once(engine_store, takeoff_id, 40)
