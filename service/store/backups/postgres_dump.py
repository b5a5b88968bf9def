"""PostgreSQL by its own programs: ``pg_dump`` into one file, ``pg_restore`` into an empty schema.

What stood there is set aside under another name until the backup is in, so a restore that fails changes nothing.
Passwords go to the programs by their environment, where other users of the machine cannot read them.
"""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection
from sqlalchemy.engine import URL

from service.store.backups.errors import BackupError
from service.store.backups.revisions import insist_on_known
from service.store.engines import Engines

_ASIDE = "traywright_replaced"
_REVISION = re.compile(r"^COPY \S*alembic_version .*\n(\S+)$", re.MULTILINE)
_OTHERS = """SELECT count(*) FROM pg_stat_activity
WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend'"""
_HOLDS = "SELECT count(*) FROM pg_class WHERE relnamespace = to_regnamespace('public')"


def write(url: URL, part: Path) -> str | None:
    """Dump the database into a file, read the dump back, and return its schema revision."""
    _run("pg_dump", url, "--format=custom", "--no-owner", "--no-privileges", "--file", str(part))
    return _revision(part)


def restore(engines: Engines, file: Path, replace: bool) -> str:
    """Restore a dump into the schema ``public``; see ``facade.restore``."""
    revision = insist_on_known(_revision(file))
    how = ("--schema=public", "--single-transaction", "--exit-on-error", "--no-owner", "--no-privileges")
    with _emptied(engines, replace):
        _run("pg_restore", engines.url, *how, str(file))
    return revision


@contextmanager
def _emptied(engines: Engines, replace: bool) -> Iterator[None]:
    """An empty schema ``public``; at the end what stood there is gone, or where anything is raised there again."""
    with engines.migrating() as connection:
        _insist_on_nobody(connection)
        if connection.exec_driver_sql(f"SELECT to_regnamespace('{_ASIDE}')").scalar_one() is not None:
            # Its process was killed in the midst of it: dropping this could drop the only good copy.
            raise BackupError(f"an earlier restore was cut off; what stood there lies in the schema {_ASIDE}")
        holds = connection.exec_driver_sql(_HOLDS).scalar_one()
        if holds and not replace:
            raise BackupError("the database holds something already: restore into an empty one, or say --replace")
        _statements(connection, f"ALTER SCHEMA public RENAME TO {_ASIDE}", "CREATE SCHEMA public")
    try:
        yield
    except BaseException:
        with engines.migrating() as connection:
            _statements(connection, "DROP SCHEMA public CASCADE", f"ALTER SCHEMA {_ASIDE} RENAME TO public")
        raise
    with engines.migrating() as connection:
        _statements(connection, f"DROP SCHEMA {_ASIDE} CASCADE")


def _insist_on_nobody(connection: Connection) -> None:
    others = connection.exec_driver_sql(_OTHERS).scalar_one()
    if others:
        raise BackupError(f"the database is in use by {others} connections: end the service and its workers first")


def _statements(connection: Connection, *statements: str) -> None:
    for statement in statements:
        connection.exec_driver_sql(statement)


def _revision(file: Path) -> str | None:
    """The schema revision that a dump holds."""
    told = _run("pg_restore", None, "--data-only", "--table=alembic_version", "--file=-", str(file))
    found = _REVISION.search(told)
    return found[1] if found else None


def _run(program: str, url: URL | None, *arguments: str) -> str:
    environment, where = dict(os.environ), []
    if url is not None:
        if url.password is not None:
            environment["PGPASSWORD"] = str(url.password)
        without = url.set(drivername="postgresql").difference_update_query(["options"])._replace(password=None)
        where = ["--dbname", without.render_as_string(hide_password=False)]
    try:
        done = subprocess.run(
            [program, *where, *arguments], env=environment, capture_output=True, text=True, stdin=subprocess.DEVNULL
        )
    except FileNotFoundError:
        raise BackupError(f"{program} is not installed here; it comes with PostgreSQL's client programs") from None
    if done.returncode:
        said = done.stderr.strip().splitlines() or [f"{program} ended with {done.returncode}"]
        raise BackupError(said[0])
    return done.stdout
