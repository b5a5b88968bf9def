"""Connections to the database, by what they are for.

Engines are made when they are first needed in a process, never carried over a fork. Planning happens outside of
all of these: a transaction is held only to read or to write.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, make_url
from sqlalchemy.engine import URL
from sqlalchemy.exc import ArgumentError

from service.store import postgres, sqlite
from service.store.errors import NotMigrated, Unavailable
from service.store.failures import failures_told
from service.store.teams import bound


class Engines:
    """The engines of one database in this process.

    ``checked`` is called with a connection before the first use in a process; it raises where the schema is not
    the one that this version works with.
    """

    def __init__(self, url: str, checked: Callable[[Connection], None]) -> None:
        self.url = _url(url)
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        self.path = Path(self.url.database or "").absolute() if self.is_sqlite else None
        self._checked = checked
        self._lock = threading.Lock()
        self._process = 0
        self._read: Engine
        self._write: Engine
        self._inherited: list[Engine] = []

    def for_team(self, team: int) -> Engines:
        """These engines, giving out connections that are bound to a team."""
        return TeamEngines(self, team)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection for single statements, each seeing the last commit."""
        self._ready()
        with failures_told(), self._read.connect() as connection:
            yield connection

    @contextmanager
    def reading_at_once(self) -> Iterator[Connection]:
        """A connection whose statements all see the same state of the database."""
        self._ready()
        with failures_told(), self._read.connect() as connection:
            if self.is_sqlite:
                connection.exec_driver_sql("BEGIN")
            else:
                connection = postgres.at_once(connection)
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that is committed at the end, or rolled back where anything is raised."""
        self._ready()
        with failures_told(), self._write.begin() as connection:
            yield connection

    @contextmanager
    def migrating(self) -> Iterator[Connection]:
        """A transaction that changes the schema; one at a time, and on SQLite in a file that is made if need be."""
        self.close()
        engine = sqlite.write_engine(self.path, create=True) if self.path else postgres.write_engine(self.url)
        try:
            with failures_told(), engine.begin() as connection:
                if not self.is_sqlite:
                    postgres.lock_schema(connection)
                yield connection
        finally:
            engine.dispose()

    @contextmanager
    def looking(self) -> Iterator[Connection]:
        """A connection to look at the schema itself, unchecked."""
        if self.path and not self.path.exists():
            raise NotMigrated(f"There is no database file {self.path.name} yet: create it by an upgrade.")
        engine = sqlite.read_engine(self.path) if self.path else postgres.read_engine(self.url)
        try:
            with failures_told(), engine.connect() as connection:
                yield connection
        finally:
            engine.dispose()

    def close(self) -> None:
        """Close all connections; the next use opens new ones."""
        with self._lock:
            if self._process == os.getpid():
                self._read.dispose()
                self._write.dispose()
                self._process = 0

    def _ready(self) -> None:
        if self._process == os.getpid():
            return
        with self._lock:
            if self._process == os.getpid():
                return
            if self._process:
                # The parent's connections came over a fork. They are held, so that nothing here closes them.
                self._inherited += [self._read, self._write]
                self._process = 0
            with self.looking() as connection:
                self._checked(connection)
            if self.path:
                self._read, self._write = sqlite.read_engine(self.path), sqlite.write_engine(self.path)
            else:
                self._read, self._write = postgres.read_engine(self.url), postgres.write_engine(self.url)
            self._process = os.getpid()


class TeamEngines(Engines):
    """The same engines, giving out connections that are bound to a team (see ``teams``)."""

    def __init__(self, whole: Engines, team: int) -> None:
        self._whole, self.team = whole, team

    def __getattr__(self, name: str) -> Any:
        return getattr(self._whole, name)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """As of ``Engines``, bound."""
        with self._whole.reading() as connection:
            yield bound(connection, self.team)

    @contextmanager
    def reading_at_once(self) -> Iterator[Connection]:
        """As of ``Engines``, bound."""
        with self._whole.reading_at_once() as connection:
            yield bound(connection, self.team)

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """As of ``Engines``, bound."""
        with self._whole.writing() as connection:
            yield bound(connection, self.team)

    @contextmanager
    def migrating(self) -> Iterator[Connection]:
        """As of ``Engines``: the schema is everybody's."""
        with self._whole.migrating() as connection:
            yield connection

    @contextmanager
    def looking(self) -> Iterator[Connection]:
        """As of ``Engines``: the schema is everybody's."""
        with self._whole.looking() as connection:
            yield connection

    def close(self) -> None:
        """Close the connections of all teams."""
        self._whole.close()

    def for_team(self, team: int) -> Engines:
        """The same for another team."""
        return self._whole.for_team(team)


def _url(text: str) -> URL:
    try:
        url = make_url(text)
    except ArgumentError:
        raise Unavailable("The database URL cannot be read; it begins with sqlite:/// or postgresql://.") from None
    if url.get_backend_name() == "sqlite":
        if not url.database or url.database == ":memory:" or url.database.startswith("file:"):
            raise Unavailable("The SQLite database needs a plain file: sqlite:///name.db.")
        return url
    if url.drivername in ("postgresql", "postgres", "postgresql+psycopg"):
        return url.set(drivername="postgresql+psycopg")
    raise Unavailable("The database URL begins with neither sqlite:/// nor postgresql://.")
