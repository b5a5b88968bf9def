"""PostgreSQL: engines, the locks that keep changes from crossing, and commits that are there once they are told of.

A server can be set up to tell of commits before they are on its disk (``synchronous_commit=off``). Connections for
writing set that right for themselves. What they cannot set right, ``fsync`` and ``full_page_writes``, is logged.
"""

from __future__ import annotations

import logging
import math
import time
from typing import Any

import psycopg
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import DisconnectionError
from sqlalchemy.pool import ConnectionPoolEntry

WAIT_S = 10
"""How long a request waits for a lock, for a connection, and for the server to answer the call."""

_REST_S = 2.0
"""How long a connection may have rested before it is asked whether the server is still there."""

_AT_RISK = ("fsync", "full_page_writes")
"""Settings of the server that are never off where its disk is to be trusted."""

_log = logging.getLogger(__name__)

_SCHEMA_LOCK = 0x7472_6179
"""The advisory lock of migrations; any number will do as long as it stays the same."""


def write_engine(url: URL) -> Engine:
    """Connections for transactions (read committed; what must not change is locked by name)."""
    engine = _engine(url, f"-c lock_timeout={WAIT_S}s -c idle_in_transaction_session_timeout=60s")
    event.listen(engine, "connect", _keeps_commits)
    return engine


def _keeps_commits(connection: Any, _record: ConnectionPoolEntry) -> None:
    """Let a commit be told of when it is on the disk, on this connection; whatever is stronger stays as it is."""
    names = ("synchronous_commit", *_AT_RISK)
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(f'current_setting({name!r})' for name in names)}")
        found = dict(zip(names, cursor.fetchone(), strict=True))
        if found["synchronous_commit"] == "off":
            cursor.execute("SET synchronous_commit TO on")
    connection.commit()
    for name in _AT_RISK:
        if found[name] == "off":
            _log.warning("PostgreSQL runs with %s=off: a power cut can lose or damage what was acknowledged", name)


def read_engine(url: URL) -> Engine:
    """Connections that cannot write; each statement stands alone."""
    engine = _engine(url, f"-c default_transaction_read_only=on -c lock_timeout={WAIT_S}s")
    return engine.execution_options(isolation_level="AUTOCOMMIT")


def at_once(connection: Connection) -> Connection:
    """Let all statements of the connection see one state."""
    return connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def lock_schema(connection: Connection) -> None:
    """Let one migration run at a time; the lock goes with the transaction."""
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_SCHEMA_LOCK})")


def _engine(url: URL, options: str) -> Engine:
    given = url.query.get("options", "")
    engine = create_engine(
        url.difference_update_query(["options"]),
        pool_size=8,
        max_overflow=24,
        pool_timeout=WAIT_S,
        hide_parameters=True,
        connect_args={
            "connect_timeout": WAIT_S,
            "application_name": "traywright",
            "options": f"{given if isinstance(given, str) else ' '.join(given)} {options} -c timezone=UTC".strip(),
        },
    )
    event.listen(engine, "checkin", _rests)
    event.listen(engine, "checkout", _answers)
    return engine


def _rests(_connection: object, record: ConnectionPoolEntry) -> None:
    record.info["rested_since"] = time.monotonic()


def _answers(connection: DBAPIConnection, record: ConnectionPoolEntry, _proxy: object) -> None:
    # Asking at every use (pool_pre_ping) costs as much as a small statement; after a rest it is worth it.
    if time.monotonic() - record.info.get("rested_since", math.inf) > _REST_S:
        try:
            connection.cursor().execute("SELECT 1")
            connection.rollback()
        except psycopg.OperationalError as lost:
            raise DisconnectionError from lost
