"""SQLite: which library, which settings, and how transactions begin.

Writers queue for the one write transaction (``BEGIN IMMEDIATE``), so that what is read in it cannot have changed
when it is written; readers see the last commit and wait for nobody. Every commit is on the disk when it is
reported (``synchronous=FULL``; with a rollback journal ``EXTRA``, since the journal's end has to be there too).
"""

from __future__ import annotations

import logging
import time
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import QueuePool

from service.store.errors import Damaged, Unavailable

WAIT_S = 10.0
"""How long a request waits for the write lock, and for a connection."""

_log = logging.getLogger(__name__)


def _library() -> ModuleType:
    try:
        return import_module("pysqlite3.dbapi2")
    except ImportError:
        own = import_module("sqlite3.dbapi2")
        _log.warning("pysqlite3 is not installed: using the SQLite %s of Python itself", own.sqlite_version)
        return own


library = _library()


def log_is_safe(version: tuple[int, ...]) -> bool:
    """Whether this SQLite keeps every commit when several connections write through a write-ahead log.

    Versions 3.7.0 to 3.51.2 can lose one in a rare race; mended in 3.51.3 and 3.53.0 (SQLite's release notes).
    """
    return version >= (3, 53, 0) or (3, 51, 3) <= version < (3, 52, 0)


def _journal() -> str:
    if log_is_safe(library.sqlite_version_info):
        return "wal"
    _log.warning(
        "SQLite %s can lose commits with a write-ahead log: using the slower rollback journal", library.sqlite_version
    )
    return "delete"


def _set_journal(connection: Any) -> None:
    wanted, patience = _journal(), time.monotonic() + WAIT_S
    while True:
        try:
            found = connection.execute(f"PRAGMA journal_mode={wanted}").fetchone()[0]
            break
        except library.OperationalError as error:
            # SQLite does not wait by itself here: in a new file, two processes may turn to the log at one moment.
            if "locked" not in str(error) or time.monotonic() > patience:
                raise
            time.sleep(0.02)
    if found != wanted:
        raise Unavailable(f"The database file has the journal {found}, which cannot be turned into {wanted}.")
    if wanted == "delete":
        # A commit is the journal's removal here, and only EXTRA syncs the folder that it is removed from.
        connection.execute("PRAGMA synchronous=EXTRA")


def _connect(path: Path, mode: str) -> Any:
    address = f"file:{quote(str(path))}?mode={mode}"
    connection = library.connect(
        address, uri=True, timeout=WAIT_S, isolation_level=None, check_same_thread=False, cached_statements=256
    )
    try:
        for setting in ("foreign_keys=ON", "trusted_schema=OFF", "synchronous=FULL"):
            connection.execute(f"PRAGMA {setting}")
    except BaseException:
        connection.close()
        raise
    return connection


def _pool(path: Path, mode: str, size: int, overflow: int) -> Engine:
    # The driver begins no transactions of its own (isolation_level None): they are begun here, by name.
    return create_engine(
        "sqlite://",
        module=library,
        creator=lambda: _connect(path, mode),
        poolclass=QueuePool,
        pool_size=size,
        max_overflow=overflow,
        pool_timeout=WAIT_S,
        hide_parameters=True,
    )


def insist_on_sound(connection: Connection, whole: bool) -> None:
    """Raise ``Damaged`` where pages are broken, lost or used twice, or rows out of order.

    Looking at the pages (``quick_check``) takes 2 s a gigabyte on a busy core, with the indexes (``integrity_check``)
    twice that. What is changed inside of a document's text is found by neither: files have no checksums.
    """
    found = connection.exec_driver_sql(f"PRAGMA {'integrity' if whole else 'quick'}_check(1)").scalar()
    if found != "ok":
        _log.error("the database file is damaged: %s", found)
        raise Damaged("The database file is damaged. Restore it from a backup.")


def write_engine(path: Path, create: bool = False) -> Engine:
    """One connection a process; every transaction takes the write lock when it begins."""
    engine = _pool(path, "rwc" if create else "rw", 1, 0)

    event.listen(engine, "connect", lambda connection, _record: _set_journal(connection))
    event.listen(engine, "begin", lambda connection: connection.exec_driver_sql("BEGIN IMMEDIATE"))
    return engine


def read_engine(path: Path) -> Engine:
    """Connections that cannot write; each statement stands alone until a transaction is begun by name."""
    engine = _pool(path, "rw", 8, 24)
    event.listen(engine, "connect", lambda connection, _record: connection.execute("PRAGMA query_only=ON"))
    return engine
