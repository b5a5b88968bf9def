"""A worker as a process of its own: how it begins, and the ways in which it ends."""

from __future__ import annotations

import gc
import os
import signal
import threading
from collections.abc import Callable

from service.building.work import DemandWork
from service.building.worker import DEMAND_S, Worker
from service.building.worker_names import worker_name
from service.domain.audit import Actor
from service.logs import log_to_stderr
from service.settings import settings_from
from service.store import LEASE_S, acts, open_store

STUCK = 70
"""The exit code of a process that gave itself up (EX_SOFTWARE of sysexits.h)."""

_YOUNG_OBJECTS = 50_000


def until_told(parent: int | None = None) -> Callable[[float], bool]:
    """What ``Worker`` waits with: true once the process was sent SIGTERM, or its parent (a process id) is gone.

    Sets the process's signals; an interrupt from the terminal is the parent's to act upon, where there is one.
    """
    told = threading.Event()
    signal.signal(signal.SIGTERM, lambda _signal, _frame: told.set())
    signal.signal(signal.SIGINT, signal.SIG_IGN if parent is not None else lambda _signal, _frame: told.set())

    def wait(seconds: float) -> bool:
        # A process whose parent has ended is handed to another one.
        if parent is not None and os.getppid() != parent:
            return True
        return told.wait(seconds) if seconds else told.is_set()

    return wait


def begin_as_worker() -> None:
    """Set a process up for planning, which makes many objects and leaves no cycles: looking for them is for nothing.

    It logs as the settings of its environment say.
    """
    log_to_stderr(settings_from(os.environ))
    gc.collect()
    gc.freeze()
    gc.set_threshold(_YOUNG_OBJECTS, 10, 10)


def work_until_told(
    url: str,
    work: DemandWork,
    parent: int | None = None,
    lease_s: float = LEASE_S,
    demand_s: float = DEMAND_S,
    engine: bool = False,
) -> None:
    """Work on the takeoffs of the database at ``url`` until told to end. What begins a process calls this, and no more.

    ``parent`` is a process id: where it is gone this one ends too. ``engine``: an engine delivers the chunks. The
    process ends hard where a demand does not end: only so is its chunk given to another.
    """
    if engine:
        from service.building.engine_worker import work_for_engine  # imported when needed: most have none installed

        work_for_engine(url, work, parent, lease_s, demand_s)
        return
    wait = until_told(parent)
    begin_as_worker()
    acts(Actor("worker"))
    store = open_store(url)
    name = worker_name(os.getpid())
    try:
        Worker(store, work, name, wait, lease_s, demand_s, stuck=lambda: os._exit(STUCK)).run()
    finally:
        store.close()
