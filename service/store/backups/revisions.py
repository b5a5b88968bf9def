"""Whether this version can work with what a backup holds."""

from __future__ import annotations

from alembic.script import ScriptDirectory

from service.store import schema
from service.store.backups.errors import BackupError


def insist_on_known(revision: str | None) -> str:
    """The schema revision of a backup; raises ``BackupError`` for none, and for one of a later version."""
    if revision is None:
        raise BackupError("the backup has no tables of this service")
    scripts = ScriptDirectory.from_config(schema.configuration())
    if revision not in {script.revision for script in scripts.walk_revisions()}:
        raise BackupError(f"the backup is at schema {revision}, of a later version than this one")
    return revision
