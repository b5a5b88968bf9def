"""An SQLite file copied while it is in use, and put in the place of another one.

The online backup copies all pages in one step: with a write-ahead log that holds up nobody, and what is copied is the
state of one moment, also what has not left the log yet. (Copying the file with the system's means would miss that.)
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from service.store.backups.errors import BackupError
from service.store.backups.revisions import insist_on_known
from service.store.engines import Engines
from service.store.sqlite import library

_LOGS = ("-wal", "-journal")
"""What lies beside a file and would be taken for part of it."""


def write(engines: Engines, part: Path) -> str | None:
    """Copy the database into a file, check the copy, and return its schema revision."""
    with engines.looking() as connection, _told(part):
        source: Any = connection.connection.driver_connection
        with closing(library.connect(str(part), isolation_level=None)) as copy:
            source.backup(copy)
            # One file by itself, without a log beside it
            copy.execute("PRAGMA journal_mode=DELETE")
            return _sound(copy)


def restore(path: Path, file: Path, replace: bool) -> str:
    """Put what the backup holds in the place of the database; see ``facade.restore``."""
    with _told(file), closing(_opened(file, "ro")) as backup:
        revision = insist_on_known(_sound(backup))
        with _alone(path, replace):
            part = path.with_name(f"{path.name}.restoring")
            part.unlink(missing_ok=True)
            try:
                with closing(library.connect(str(part), isolation_level=None)) as copy:
                    backup.backup(copy)
                    copy.execute("PRAGMA journal_mode=DELETE")
                    _sound(copy)
                to_disk(part)
                os.replace(part, path)
                to_disk(path.parent)
            finally:
                part.unlink(missing_ok=True)
    return revision


def to_disk(path: Path) -> None:
    """Have a file, or the names in a folder, on the disk before going on."""
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _opened(path: Path, mode: str) -> Any:
    return library.connect(f"file:{quote(str(path))}?mode={mode}", uri=True, timeout=0, isolation_level=None)


def _sound(connection: Any) -> str | None:
    """The schema revision of a file that SQLite finds whole; raises ``BackupError`` where it does not."""
    found = connection.execute("PRAGMA quick_check(1)").fetchone()[0]
    if found != "ok" or connection.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise BackupError("the backup is damaged")
    if connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'alembic_version'").fetchone() is None:
        return None
    row = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    return None if row is None else str(row[0])


@contextmanager
def _alone(path: Path, replace: bool) -> Iterator[None]:
    """Hold a database that is there, so that nobody can use it; raises ``BackupError`` where anybody does."""
    if not path.exists() or not path.stat().st_size:
        _insist_on_no_logs(path)
        yield
        return
    if not replace:
        raise BackupError(f"{path.name} holds a database already: restore into another file, or say --replace")
    with closing(_opened(path, "rw")) as held:
        try:
            # Leaving the write-ahead log is what SQLite does only for somebody who is alone, idle readers counted too.
            held.execute("PRAGMA locking_mode=EXCLUSIVE")
            held.execute("PRAGMA journal_mode=DELETE")
            held.execute("BEGIN EXCLUSIVE")
        except library.OperationalError as error:
            if "locked" in str(error):
                raise BackupError(f"{path.name} is in use: end the service and its workers first") from None
            raise _unreadable(path) from None
        except library.DatabaseError:
            raise _unreadable(path) from None
        yield


def _unreadable(path: Path) -> BackupError:
    return BackupError(f"{path.name} cannot be read, so nobody can tell whether it is in use: move it away first")


def _insist_on_no_logs(path: Path) -> None:
    left = [path.name + log for log in _LOGS if path.with_name(path.name + log).exists()]
    if left:
        raise BackupError(f"{' and '.join(left)} would be taken for part of what is restored: move it away first")


@contextmanager
def _told(file: Path) -> Iterator[None]:
    try:
        yield
    except library.DatabaseError as error:
        raise BackupError(f"{file}: {error}") from error
