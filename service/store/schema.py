"""The schema's versions: where a database stands, and the way up and down."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from service.store.errors import NotMigrated, SchemaTooNew

_FOLDER = Path(__file__).parent / "migrations"


def configuration(connection: Connection | None = None) -> Config:
    """The migrations' configuration; commands that touch a database work on ``connection``."""
    config = Config()
    config.set_main_option("script_location", str(_FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def head() -> str:
    """The schema revision of this version."""
    revision = ScriptDirectory.from_config(configuration()).get_current_head()
    assert revision is not None
    return revision


def standing(connection: Connection) -> str | None:
    """The schema revision of a database; None where it has none of the tables."""
    return MigrationContext.configure(connection).get_current_revision()


def check(connection: Connection) -> None:
    """Raise ``NotMigrated`` or ``SchemaTooNew`` where the database is not at this version's schema."""
    found = standing(connection)
    if found == head():
        return
    if found is None:
        raise NotMigrated("The database has no tables of this service: upgrade it first.")
    known = {script.revision for script in ScriptDirectory.from_config(configuration()).walk_revisions()}
    if found in known:
        raise NotMigrated(f"The database is at schema {found}, this version needs {head()}: upgrade it first.")
    raise SchemaTooNew(f"The database is at schema {found}, of a later version than this one.")


def move(connection: Connection, revision: str, up: bool) -> None:
    """Upgrade or downgrade to ``revision``, within the connection's transaction."""
    found = standing(connection)
    scripts = ScriptDirectory.from_config(configuration())
    if found is not None and found not in {script.revision for script in scripts.walk_revisions()}:
        raise SchemaTooNew(f"The database is at schema {found}, of a later version than this one.")
    (command.upgrade if up else command.downgrade)(configuration(connection), revision)
