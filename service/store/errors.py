"""What the store says when it cannot do as asked.

::

    StoreError
      NotFound, Exists, Stale             the caller's view of the data does not hold
      SchemaMismatch                      the database's schema is not the one of this version
        NotMigrated, SchemaTooNew
      Damaged                             the file is no database, or a damaged one
      Busy, Full, Unavailable             try later, make room, or bring the database back

No message carries SQL, parameters or passwords.
"""

from __future__ import annotations


class StoreError(Exception):
    """Anything that the store reports."""


class NotFound(StoreError):
    """There is no such thing in the store."""


class Exists(StoreError):
    """It was to be created, and it is there already. ``revision`` is that of what is there."""

    def __init__(self, message: str, revision: int) -> None:
        self.revision = revision
        super().__init__(message)


class Stale(StoreError):
    """It has changed since it was read; ``current`` is its revision now."""

    def __init__(self, message: str, current: int) -> None:
        self.current = current
        super().__init__(message)


class SchemaMismatch(StoreError):
    """The database's schema is not the one that this version works with."""


class NotMigrated(SchemaMismatch):
    """The database is empty or of an older version: upgrade it first."""


class SchemaTooNew(SchemaMismatch):
    """The database was upgraded by a later version than this one."""


class Damaged(StoreError):
    """The file is not a database, or a damaged one."""


class Busy(StoreError):
    """Others held the database for longer than a request may wait; the same request can be sent again."""


class Full(StoreError):
    """The disk is full. What was stored before stands; nothing of this change does."""


class Unavailable(StoreError):
    """The database cannot be reached, opened or written."""
