"""Database failures told in the store's own words: the one place where drivers' errors are read."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from service.store.errors import Busy, Damaged, Full, NotMigrated, StoreError, Unavailable

_log = logging.getLogger(__name__)

# Primary result codes of SQLite (the low byte of the extended code), https://sqlite.org/rescode.html
_SQLITE: dict[int, tuple[type[StoreError], str]] = {
    5: (Busy, "The database is locked by another writer."),
    6: (Busy, "The database is locked by another writer."),
    8: (Unavailable, "The database can only be read."),
    10: (Unavailable, "The disk of the database cannot be read or written."),
    11: (Damaged, "The database file is damaged. Restore it from a backup."),
    13: (Full, "The disk of the database is full."),
    14: (Unavailable, "The database file cannot be opened."),
    23: (Unavailable, "Access to the database was refused."),
    26: (Damaged, "The file is not a database."),
}
# SQLSTATE classes and codes, PostgreSQL documentation, appendix A
_POSTGRES: dict[str, tuple[type[StoreError], str]] = {
    "08": (Unavailable, "The database server cannot be reached."),
    "25006": (Unavailable, "The database can only be read."),
    "28": (Unavailable, "The database server refused the login."),
    "3D": (Unavailable, "There is no such database on the server."),
    "40": (Busy, "The change ran into another one; send it again."),
    "42501": (Unavailable, "Access to the database was refused."),
    "42P01": (NotMigrated, "The database has no tables of this service: upgrade it first."),
    "53100": (Full, "The disk of the database server is full."),
    "53": (Busy, "The database server has no room for another connection."),
    "55P03": (Busy, "The database is locked by another writer."),
    "57014": (Busy, "The database took too long."),
    "57": (Unavailable, "The database server is shutting down or starting."),
    "58": (Unavailable, "The disk of the database server cannot be read or written."),
    "XX001": (Damaged, "The database is damaged. Restore it from a backup."),
    "XX002": (Damaged, "The database is damaged. Restore it from a backup."),
}


def told(error: SQLAlchemyError) -> StoreError | None:
    """The store's word for a database failure, or None where it is a fault of the program."""
    if isinstance(error, PoolTimeout):
        return Busy("No connection to the database became free in time.")
    if not isinstance(error, DBAPIError):
        return None
    cause = error.orig
    code = getattr(cause, "sqlite_errorcode", None)
    if code is not None:
        if "no such table" in str(cause):
            return NotMigrated("The database has no tables of this service: upgrade it first.")
        found = _SQLITE.get(code & 0xFF)
    else:
        state = getattr(cause, "sqlstate", None) or ("08" if _connection_lost(error) else "")
        found = _POSTGRES.get(state) or _POSTGRES.get(state[:2])
    return None if found is None else found[0](found[1])


def _connection_lost(error: DBAPIError) -> bool:
    # psycopg raises OperationalError without a state when the server is not there or went away
    return error.connection_invalidated or type(error.orig).__name__ == "OperationalError"


@contextmanager
def failures_told() -> Iterator[None]:
    """Raise what the database reports as ``StoreError``; the driver's own words go to the log."""
    try:
        yield
    except SQLAlchemyError as error:
        failure = told(error)
        if failure is None:
            raise
        _log.warning("%s (%s)", failure, getattr(error, "orig", error))
        raise failure from error
