"""SQLite's settings, as they are on the connections in use."""

from __future__ import annotations

import pytest

from service.store import AnyRevision, Busy, Store, Unavailable, open_store
from service.store import sqlite as on_sqlite
from tests import catalogue_documents as documents


def setting(store: Store, name: str, write: bool) -> object:
    engines = store._engines
    with engines.writing() if write else engines.reading() as connection:
        return connection.exec_driver_sql(f"PRAGMA {name}").scalar()


@pytest.mark.parametrize("write", [True, False], ids=["write", "read"])
@pytest.mark.parametrize(
    ("name", "value"),
    [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1), ("trusted_schema", 0), ("busy_timeout", 10_000)],
)
def test_every_connection_has_the_settings_that_keep_commits(
    sqlite_store: Store, name: str, value: object, write: bool
) -> None:
    """Write-ahead log, full synchronisation, ten seconds of patience, and no trust in what a file's schema says."""
    assert setting(sqlite_store, name, write) == value


def test_a_write_transaction_has_the_lock_from_its_first_moment(sqlite_store: Store) -> None:
    """Before any statement of it has run, another connection cannot begin to write."""
    path = sqlite_store._engines.path
    sqlite_store.catalogue_revision()
    other = on_sqlite.library.connect(str(path), timeout=0, isolation_level=None)
    with sqlite_store._engines.writing(), pytest.raises(on_sqlite.library.OperationalError, match="locked"):
        other.execute("BEGIN IMMEDIATE")
    other.execute("BEGIN IMMEDIATE")
    other.execute("ROLLBACK")
    other.close()


@pytest.mark.parametrize(("version", "safe"), [
    ((3, 40, 1), False), ((3, 51, 2), False), ((3, 51, 3), True), ((3, 52, 0), False), ((3, 53, 0), True),
    ((3, 53, 4), True), ((4, 0, 0), True),
])  # fmt: skip
def test_a_library_that_can_lose_commits_gets_no_write_ahead_log(version: tuple[int, ...], safe: bool) -> None:
    """The versions are those of SQLite's release notes on the mended race."""
    assert on_sqlite.log_is_safe(version) is safe


def test_the_rollback_journal_serves_where_the_log_would_not_be_safe(
    sqlite_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A database with a log is turned over to the journal, and works on."""
    sqlite_store.put_catalogue(documents.whole(), AnyRevision())
    sqlite_store.close()
    monkeypatch.setattr(on_sqlite, "log_is_safe", lambda version: False)
    sqlite_store.put_catalogue({}, AnyRevision())
    assert setting(sqlite_store, "journal_mode", write=True) == "delete"
    # 3 is EXTRA: the removal of the journal, which is the commit, is on the disk as well (SQLite on the pragma).
    assert setting(sqlite_store, "synchronous", write=True) == 3
    assert sqlite_store.snapshot().catalogue_revision == 2


def test_the_library_in_use_is_safe() -> None:
    """What the tests run on is what the measurements were made with, or later."""
    assert on_sqlite.log_is_safe(on_sqlite.library.sqlite_version_info)


def test_a_journal_that_others_hold_open_is_not_turned_over_under_them(
    sqlite_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While another connection has the log open, a process with an unsafe library is refused, not let in."""
    sqlite_store.put_catalogue(documents.whole(), AnyRevision())
    other = open_store(str(sqlite_store._engines.url))
    monkeypatch.setattr(on_sqlite, "log_is_safe", lambda version: False)
    monkeypatch.setattr(on_sqlite, "WAIT_S", 0.2)
    with pytest.raises((Busy, Unavailable)):
        other.put_catalogue({}, AnyRevision())
    other.close()
    assert sqlite_store.catalogue_revision() == 1
