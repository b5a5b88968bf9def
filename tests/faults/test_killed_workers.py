"""Workers of takeoffs killed with no warning: every splice point is planned once, none is lost, none planned twice."""

from __future__ import annotations

import multiprocessing
import os
import signal
import time
from multiprocessing.connection import Connection

from service.building.embedded import EmbeddedWorkers
from service.building.process import STUCK, work_until_told
from service.building.worker_names import dead_here, worker_name
from service.store import Store
from service.store.takeoffs.burying import ENDS_WORKERS
from tests.building.made_work import MADE, build, finished, insist_on_each_once

_context = multiprocessing.get_context("spawn")


def process_of(worker: str) -> int:
    return int(worker.split("/")[1])


def killed_in_mid_chunk(store: Store, not_these: set[int] = frozenset()) -> int:  # type: ignore[assignment]
    """Kill a worker that holds a chunk; its process id."""
    last = time.monotonic() + 30
    while time.monotonic() < last:
        for worker in store.takeoffs.work.lessees():
            process = process_of(worker)
            if process not in not_these:
                os.kill(process, signal.SIGKILL)
                return process
        time.sleep(0.005)
    raise AssertionError("no worker took a chunk")


def test_a_worker_killed_in_mid_chunk_loses_and_doubles_nothing(store: Store, url: str) -> None:
    """Two workers without anybody who looks after them, one killed: the other does its chunk after the lease."""
    takeoff_id = build(store, 60, repeats=2, sleep=0.02)
    workers = [
        _context.Process(target=work_until_told, args=(url, MADE, os.getpid()), kwargs={"lease_s": 1.0})
        for _ in range(2)
    ]
    for worker in workers:
        worker.start()
    dead = killed_in_mid_chunk(store)
    finished(store, takeoff_id)
    insist_on_each_once(store, takeoff_id, 60, 2)
    for worker in workers:
        worker.terminate()
        worker.join(30)
    assert sorted(worker.exitcode or 0 for worker in workers) == [-signal.SIGKILL, 0]
    assert dead in {worker.pid for worker in workers}


def test_embedded_workers_killed_twice_are_replaced(store: Store, url: str) -> None:
    """What the dead were at is done by others at once, long before their leases end, and all of it once."""
    takeoff_id = build(store, 200, repeats=4, sleep=0.005)
    with EmbeddedWorkers(url, MADE, 2, lease_s=60.0) as workers:
        dead = {killed_in_mid_chunk(store)}
        dead.add(killed_in_mid_chunk(store, dead))
        finished(store, takeoff_id, within_s=45.0)
        assert len(set(workers.process_ids()) - dead) == 2
    insist_on_each_once(store, takeoff_id, 200, 4)


def serve_until_killed(url: str, told: Connection) -> None:
    """A service with two embedded workers that tells their process ids."""
    workers = EmbeddedWorkers(url, MADE, 2, lease_s=60.0)
    workers.start()
    told.send(workers.process_ids())
    time.sleep(600)


def test_a_takeoff_goes_on_after_everything_was_killed(store: Store, url: str) -> None:
    """Service and workers are killed twice in mid-takeoff: the next service goes on with it at once."""
    takeoff_id = build(store, 400, sleep=0.01)
    for _ in range(2):
        receive, send = _context.Pipe(duplex=False)
        service = _context.Process(target=serve_until_killed, args=(url, send))
        service.start()
        workers = receive.recv()
        while not store.takeoffs.work.lessees():
            time.sleep(0.01)
        for process in (service.pid, *workers):
            os.kill(process, signal.SIGKILL)
        service.join()
    done = store.takeoffs.get(takeoff_id).done
    assert done < 400
    with EmbeddedWorkers(url, MADE, 2, lease_s=60.0):
        finished(store, takeoff_id)
    insist_on_each_once(store, takeoff_id, 400)


def is_there(process: int) -> bool:
    return dead_here([worker_name(process)]) == []


def test_workers_end_with_the_service_that_began_them(store: Store, url: str) -> None:
    """The service is killed and can tell them nothing: they notice, and hand back what they were at."""
    takeoff_id = build(store, 400, sleep=0.02)
    receive, send = _context.Pipe(duplex=False)
    service = _context.Process(target=serve_until_killed, args=(url, send))
    service.start()
    workers = receive.recv()
    while len(store.takeoffs.work.lessees()) < 2:
        time.sleep(0.01)
    service.kill()
    service.join()
    last = time.monotonic() + 30
    while any(is_there(process) for process in workers):
        assert time.monotonic() < last
        time.sleep(0.05)
    assert store.takeoffs.work.lessees() == []
    assert store.takeoffs.get(takeoff_id).state == "running"


def test_a_demand_that_kills_its_workers_is_recorded_and_the_rest_is_planned(store: Store, url: str) -> None:
    """The embedded workers are begun again each time, until the demand is found and given up."""
    takeoff_id = build(store, 64, only={30: {"die": True}})
    with EmbeddedWorkers(url, MADE, 2, lease_s=60.0):
        finished(store, takeoff_id)
    status = store.takeoffs.get(takeoff_id)
    assert (status.done, status.fitting, status.faulty) == (64, 63, 1)
    assert store.takeoffs.point(takeoff_id, 30).faults == (ENDS_WORKERS,)


def test_a_worker_that_is_stuck_gives_itself_up(store: Store, url: str) -> None:
    """A demand does not end: its process does, hard, so that whoever looks after it sees a dead worker."""
    build(store, 1, sleep=60)
    arguments = (url, MADE, os.getpid(), 0.3, 0.2)
    worker = _context.Process(target=work_until_told, args=arguments)
    worker.start()
    worker.join(30)
    assert worker.exitcode == STUCK


def test_embedded_workers_end_when_they_are_told(store: Store, url: str) -> None:
    """All of them, and chunks they were at wait for the next worker."""
    takeoff_id = build(store, 400, sleep=0.02)
    with EmbeddedWorkers(url, MADE, 3) as workers:
        while not store.takeoffs.work.lessees():
            time.sleep(0.01)
        processes = workers.process_ids()
    assert len(processes) == 3
    assert not any(is_there(process) for process in processes)
    assert store.takeoffs.work.lessees() == []
    assert store.takeoffs.get(takeoff_id).state == "running"
