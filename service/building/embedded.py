"""The embedded workers: processes of the service itself, so that takeoffs need no server besides it."""

from __future__ import annotations

import logging
import multiprocessing
import os
import threading
import time
from collections.abc import Mapping
from multiprocessing.connection import wait
from multiprocessing.context import SpawnProcess
from types import TracebackType

from service.building.process import work_until_told
from service.building.work import DemandWork
from service.building.worker_names import dead_here
from service.store import LEASE_S, StoreError, open_store

_log = logging.getLogger(__name__)
_context = multiprocessing.get_context("spawn")

_LOOK_S = 0.5
_PAUSE_MOST_S = 10.0
_END_S = 10.0


class EmbeddedWorkers:
    """Keeps ``count`` worker processes at work on a database, as a context or between ``start`` and ``stop``.

    One that dies is replaced, and what it was at is given to another at once. The processes are spawned, never
    forked: the service has threads. They end with the service, however it ends. ``engine``: an engine delivers the
    chunks (see ``service.store.takeoffs.engine``), which wants PostgreSQL; else the processes look for them.
    """

    def __init__(
        self, url: str, work: DemandWork, count: int | None = None, lease_s: float = LEASE_S, engine: bool = False
    ) -> None:
        self.count = count or len(os.sched_getaffinity(0))
        self._url, self._work, self._lease_s = url, work, lease_s
        self._store, self._engine = open_store(url), engine
        self._ending = threading.Event()
        self._woken, self._wake = _context.Pipe(duplex=False)
        self._processes: list[SpawnProcess] = []
        self._keeper = threading.Thread(target=self._keep, name="workers", daemon=True)
        self._pause = 0.0

    def start(self) -> None:
        """Begin; what an earlier service on this machine was at when it was killed is taken up at once."""
        if self._engine:
            self._store.takeoffs.deliver_by_engine()
        self._give_up_dead()
        self._processes = [self._begun() for _ in range(self.count)]
        self._keeper.start()

    def stop(self) -> None:
        """Have every worker finish the demand it is at and hand its chunk back; returns when all have ended."""
        self._ending.set()
        self._wake.send(None)
        self._keeper.join()
        for process in self._processes:
            process.terminate()
        last = time.monotonic() + _END_S
        for process in self._processes:
            process.join(max(0.0, last - time.monotonic()))
            if process.exitcode is None:
                process.kill()
                process.join()
        self._give_up_dead()
        self._store.close()

    def __enter__(self) -> EmbeddedWorkers:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def process_ids(self) -> list[int]:
        """The processes that are at work."""
        return [process.pid for process in self._processes if process.pid is not None]

    def _begun(self) -> SpawnProcess:
        arguments: Mapping[str, object] = {"parent": os.getpid(), "lease_s": self._lease_s, "engine": self._engine}
        process = _context.Process(
            target=work_until_told, args=(self._url, self._work), kwargs=arguments, name="takeoffs", daemon=True
        )
        process.start()
        return process

    def _keep(self) -> None:
        while not self._ending.is_set():
            began = time.monotonic()
            wait([self._woken, *(process.sentinel for process in self._processes)], _LOOK_S)
            dead = [place for place, process in enumerate(self._processes) if process.exitcode is not None]
            if not dead:
                if time.monotonic() - began >= _LOOK_S:
                    self._pause = 0.0
                continue
            for place in dead:
                process = self._processes[place]
                _log.warning("worker process %s ended (%s); another takes its place", process.pid, process.exitcode)
            self._give_up_dead()
            # One that cannot even begin is not to be begun a hundred times a second.
            if self._ending.wait(self._pause):
                return
            self._pause = min(2 * self._pause + 0.1, _PAUSE_MOST_S)
            for place in dead:
                self._processes[place] = self._begun()

    def _give_up_dead(self) -> None:
        """End the leases of workers that are dead; where the database is away they run out by themselves."""
        try:
            for name in dead_here(self._store.takeoffs.work.lessees()):
                self._store.takeoffs.work.give_up_for(name)
            self._store.takeoffs.work.bury_expired()
        except StoreError as error:
            _log.warning("leases of dead workers could not be ended: %s", error)
