"""Making and restoring a backup, on whichever database."""

from __future__ import annotations

import os
from pathlib import Path

from service.store import schema
from service.store.backups import postgres_dump, sqlite_copy
from service.store.backups.errors import BackupError
from service.store.engines import Engines


def back_up(url: str, file: Path) -> str:
    """Write a backup of the database to a new file that its owner alone can read; returns its schema revision.

    The database may be in use: the backup is what stood there at one moment. Raises ``BackupError`` where the file
    exists, where the database holds no tables of this service, and where the backup cannot be made or read back.
    """
    if file.exists():
        raise BackupError(f"{file}: there is such a file; a backup is never written over another one")
    engines = Engines(url, schema.check)
    with engines.looking() as connection:
        if schema.standing(connection) is None:
            raise BackupError("the database has no tables of this service: there is nothing to back up")
    part = file.with_name(f"{file.name}.part")
    part.unlink(missing_ok=True)
    # Made beforehand, so that nobody else can read it while it is written: it has hashes of tokens, and prices.
    os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    try:
        found = sqlite_copy.write(engines, part) if engines.is_sqlite else postgres_dump.write(engines.url, part)
        if found is None:
            raise BackupError("the backup cannot be read back")
        sqlite_copy.to_disk(part)
        os.replace(part, file)
        sqlite_copy.to_disk(file.absolute().parent)
    finally:
        part.unlink(missing_ok=True)
    return found


def restore(url: str, file: Path, replace: bool = False) -> str:
    """Make the database what a backup says; returns the backup's schema revision, which may be an earlier one.

    All of it or nothing. Raises ``BackupError`` where the backup is damaged or of a later version, where the database
    holds something (unless ``replace``), and where anybody is connected to it.
    """
    if not file.is_file():
        raise BackupError(f"{file}: there is no such backup")
    engines = Engines(url, schema.check)
    if engines.path is not None:
        return sqlite_copy.restore(engines.path, file, replace)
    return postgres_dump.restore(engines, file, replace)
