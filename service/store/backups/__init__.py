"""Backups of a whole database, made while it is in use, and restored into one that is not.

An SQLite file is copied by SQLite's online backup into another file; PostgreSQL by its own ``pg_dump`` and
``pg_restore``, which have to be installed. A backup is checked when it is made and again before anything is restored.
"""

from service.store.backups.errors import BackupError
from service.store.backups.facade import back_up, restore

__all__ = ["BackupError", "back_up", "restore"]
