"""Procrastinate, which delivers chunks to workers on any number of machines by way of the same PostgreSQL.

A chunk's job is enqueued in the transaction that makes the chunk, so that there is never the one without the other. The
engine may deliver twice or late: whether a chunk is done is not its to say. What it adds to the rows is that workers
are woken at once instead of looking, and that a worker whose heart stopped is noticed by the others.
"""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection

from service.store.engines import Engines
from service.store.errors import Unavailable
from service.store.takeoffs.cutting import Deliver
from service.store.takeoffs.leasing import versions_of

TASK = "takeoff-chunk"
"""The engine's name for what is done with a chunk."""


def queue_of(version: str) -> str:
    """The engine's queue for chunks of takeoffs that a version of the service began: its workers alone take them."""
    return f"version {version}"


def address(engines: Engines) -> str:
    """The database as the engine connects to it; raises ``Unavailable`` where it is not on PostgreSQL."""
    if engines.is_sqlite:
        raise Unavailable("An engine delivers takeoffs on PostgreSQL alone; on SQLite workers look for them.")
    return engines.url.set(drivername="postgresql").render_as_string(hide_password=False)


def prepared(engines: Engines) -> Deliver:
    """Make the engine's own tables where they are missing; returns what tells it of chunks.

    Raises ``Unavailable`` where the engine is not installed, or the database not on PostgreSQL.
    """
    conninfo = address(engines)
    try:
        from procrastinate import App, SyncPsycopgConnector  # imported when needed: most have no engine installed
    except ImportError:
        raise Unavailable("Procrastinate is not installed: pip install 'traywright[engine]'.") from None
    # Behind the lock of migrations: of several processes that begin together one makes the tables.
    app = App(connector=SyncPsycopgConnector(conninfo=conninfo, min_size=1, max_size=1))
    with engines.migrating(), app.open():
        if not app.check_connection():
            app.schema_manager.apply_schema()

    def deliver(connection: Connection, chunks: Sequence[tuple[int, int]]) -> None:
        versions = versions_of(connection, [chunk for chunk, _ in chunks])
        jobs = [
            app.configure_task(TASK, queue=queue_of(versions[chunk]), priority=-turn).make_new_job(chunk=chunk)
            for chunk, turn in chunks
        ]
        app.job_manager.batch_defer_jobs(jobs, connection=connection.connection.driver_connection)

    return deliver
