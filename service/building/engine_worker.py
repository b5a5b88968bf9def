"""Procrastinate, which delivers chunks to workers: the receiving side, a worker process of its own."""

from __future__ import annotations

import asyncio
import os
import signal
import threading
from contextlib import suppress
from itertools import count

from procrastinate import App, JobContext, PsycopgConnector
from procrastinate.exceptions import ProcrastinateException

from service import __version__
from service.building.process import STUCK, begin_as_worker
from service.building.work import DemandWork
from service.building.worker import DEMAND_S, Worker
from service.building.worker_names import worker_name
from service.domain.audit import Actor
from service.store import LEASE_S, Store, StoreError, acts, open_store
from service.store.takeoffs.engine import TASK, queue_of

BEAT_S = 1.0
"""How often a worker says that it lives, and looks whether the others do."""

SILENT_S = 4.0
"""After how long without a word a worker is taken for dead, and its jobs are fetched back."""

_LOOK_BEATS = 5
"""Chunks that a service without the engine made have no jobs: every so many beats they are looked for."""


def work_for_engine(
    url: str, work: DemandWork, parent: int | None = None, lease_s: float = LEASE_S, demand_s: float = DEMAND_S
) -> None:
    """Do what the engine delivers until told to end, as ``process.work_until_told`` does what it finds."""
    begin_as_worker()
    acts(Actor("worker"))
    store, ending = open_store(url), threading.Event()
    address = store.takeoffs.deliver_by_engine()

    def wait(seconds: float) -> bool:
        return ending.wait(seconds) if seconds else ending.is_set()

    name = worker_name(os.getpid())
    worker = Worker(store, work, name, wait, lease_s, demand_s, stuck=lambda: os._exit(STUCK))
    app = App(connector=PsycopgConnector(conninfo=address, min_size=1, max_size=4))

    @app.task(name=TASK, pass_context=True)
    def take(context: JobContext, chunk: int) -> None:
        if context.job.attempts:
            worker.take_over(chunk)
        else:
            worker.take(chunk)

    try:
        asyncio.run(_received(app, store, ending, parent))
    finally:
        store.close()


async def _received(app: App, store: Store, ending: threading.Event, parent: int | None) -> None:
    loop = asyncio.get_running_loop()
    async with app.open_async():
        running = asyncio.create_task(
            app.run_worker_async(
                queues=[queue_of(__version__)],
                concurrency=1,
                delete_jobs="always",
                install_signal_handlers=False,
                update_heartbeat_interval=BEAT_S,
                stalled_worker_timeout=SILENT_S,
            )
        )
        for number in (signal.SIGTERM, signal.SIGINT):
            ignored = number == signal.SIGINT and parent is not None
            loop.add_signal_handler(number, (lambda: None) if ignored else ending.set)
        looking = asyncio.create_task(_fetched_back(app, store))
        while not ending.is_set() and not running.done() and (parent is None or os.getppid() == parent):
            await asyncio.sleep(0.1)
        ending.set()
        looking.cancel()
        running.cancel()
        with suppress(asyncio.CancelledError):
            await running


async def _fetched_back(app: App, store: Store) -> None:
    """Have the jobs of silent workers delivered again, and see to leases that ran out and to chunks without a job."""
    for beat in count(1):
        await asyncio.sleep(BEAT_S)
        with suppress(ProcrastinateException, StoreError):
            for job in await app.job_manager.get_stalled_jobs(task_name=TASK, seconds_since_heartbeat=SILENT_S):
                # Another worker may have fetched it back in this moment.
                with suppress(ProcrastinateException):
                    await app.job_manager.retry_job(job)
            await asyncio.to_thread(store.takeoffs.work.bury_expired)
            if beat % _LOOK_BEATS == 0 and not await _jobs_left(app):
                await asyncio.to_thread(store.takeoffs.work.tell_again)


async def _jobs_left(app: App) -> int:
    queues = await app.job_manager.list_queues_async(task=TASK)
    return sum(queue["todo"] for queue in queues)
