"""Backups: made while the database is in use, restored whole into one that is not."""

from __future__ import annotations

import shutil
import sqlite3
import stat
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest

from service.store import Absent, AnyRevision, Store, open_store
from service.store.backups import BackupError, back_up, postgres_dump, restore
from service.store.schema import head
from tests.catalogue_documents import sleeve, tray, whole
from tests.stores import emptied

SLEEVE = sleeve("extra")
CATALOGUE = whole(sleeves=[sleeve()], trays=[tray()])


@pytest.fixture
def filled(store: Store) -> Store:
    """A store with a small catalogue."""
    store.put_catalogue(CATALOGUE, Absent())
    return store


@pytest.fixture
def needs_programs(url: str) -> None:
    """Skips where PostgreSQL's programs are not installed."""
    if url.startswith("postgresql") and not (shutil.which("pg_dump") and shutil.which("pg_restore")):
        pytest.skip("no pg_dump and pg_restore on the path")


@pytest.fixture
def another(url: str, tmp_path: Path) -> Iterator[str]:
    """The URL of a second, empty database of the same engine."""
    if url.startswith("sqlite"):
        yield f"sqlite:///{tmp_path / 'another.db'}"
        return
    name = url.rpartition("/")[2] + "_another"
    with psycopg.connect(url, autocommit=True) as server:
        server.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        server.execute(f"CREATE DATABASE {name} TEMPLATE template0")
        yield f"{url.rpartition('/')[0]}/{name}"
        server.execute(f"DROP DATABASE {name} WITH (FORCE)")


pytestmark = pytest.mark.usefixtures("needs_programs")


def _catalogue(url: str) -> tuple[object, int]:
    store = open_store(url)
    try:
        return store.catalogue_document()
    finally:
        store.close()


def test_what_is_restored_is_what_stood_there(filled: Store, url: str, another: str, tmp_path: Path) -> None:
    """A backup of a database that is open holds the last commit; restored elsewhere it is the same catalogue."""
    filled.put_entry("sleeves", "extra", SLEEVE, Absent())
    before = filled.catalogue_document()
    assert back_up(url, tmp_path / "a.backup") == head()
    filled.put_catalogue(CATALOGUE, AnyRevision())
    assert restore(another, tmp_path / "a.backup") == head()
    assert _catalogue(another) == before
    assert filled.catalogue_document() != before


def test_a_restored_database_takes_what_comes_next(filled: Store, url: str, another: str, tmp_path: Path) -> None:
    """Keys, counters and constraints came with it: the next change counts on."""
    back_up(url, tmp_path / "a.backup")
    restore(another, tmp_path / "a.backup")
    store = open_store(another)
    revision = store.catalogue_revision()
    store.put_entry("sleeves", "extra", SLEEVE, Absent())
    assert store.catalogue_revision() == revision + 1
    assert store.cursor_key() == filled.cursor_key()
    store.close()


def test_a_backup_is_for_its_owner_and_never_written_over(filled: Store, url: str, tmp_path: Path) -> None:
    """Others of the machine cannot read it; a second one of the same name is refused and leaves it as it was."""
    file = tmp_path / "a.backup"
    back_up(url, file)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    before = file.read_bytes()
    with pytest.raises(BackupError, match="never written over"):
        back_up(url, file)
    assert file.read_bytes() == before
    assert [path.name for path in tmp_path.glob("*.part")] == []


def test_a_database_that_holds_something_is_kept(filled: Store, url: str, tmp_path: Path) -> None:
    """Without ``replace`` nothing is restored over it."""
    back_up(url, tmp_path / "a.backup")
    before = filled.catalogue_document()
    filled.close()
    with pytest.raises(BackupError, match="--replace"):
        restore(url, tmp_path / "a.backup")
    assert _catalogue(url) == before


def test_a_database_in_use_is_never_replaced(filled: Store, url: str, tmp_path: Path) -> None:
    """Also one that is connected and idle counts; once it has gone, the backup takes its place."""
    back_up(url, tmp_path / "a.backup")
    before = filled.catalogue_document()
    filled.put_entry("sleeves", "extra", SLEEVE, Absent())
    with pytest.raises(BackupError, match="in use"):
        restore(url, tmp_path / "a.backup", replace=True)
    assert filled.catalogue_document() != before
    filled.close()
    restore(url, tmp_path / "a.backup", replace=True)
    assert _catalogue(url) == before


def test_a_damaged_backup_changes_nothing(filled: Store, url: str, tmp_path: Path) -> None:
    """Half a backup, or something else, is refused, and what stands there stays."""
    file = tmp_path / "a.backup"
    back_up(url, file)
    whole = file.read_bytes()
    before = filled.catalogue_document()
    filled.close()
    for content in (whole[: len(whole) // 2], b"not a backup\n" * 1000, b""):
        file.write_bytes(content)
        with pytest.raises(BackupError):
            restore(url, file, replace=True)
        assert _catalogue(url) == before


def test_a_backup_of_a_later_version_is_refused(filled: Store, url: str, another: str, tmp_path: Path) -> None:
    """What this version could not work with is not restored, and the database stays empty."""
    if url.startswith("sqlite"):
        with sqlite3.connect(url.removeprefix("sqlite:///")) as connection:
            connection.execute("UPDATE alembic_version SET version_num = 'r9999'")
        connection.close()
    else:
        with psycopg.connect(url) as server:
            server.execute("UPDATE alembic_version SET version_num = 'r9999'")
    assert back_up(url, tmp_path / "a.backup") == "r9999"
    with pytest.raises(BackupError, match="r9999, of a later version"):
        restore(another, tmp_path / "a.backup")
    with pytest.raises(Exception, match=r"no tables|no database"):
        _catalogue(another)


def test_nothing_is_backed_up_where_there_is_nothing(url: str, tmp_path: Path) -> None:
    """A database without tables gives no backup; it would be found out when it is needed."""
    with pytest.raises(Exception, match=r"no tables|no database"):
        back_up(url, tmp_path / "a.backup")
    assert list(tmp_path.glob("a.backup*")) == []


def test_a_log_left_beside_a_lost_file_is_not_taken_for_the_backups(sqlite_store: Store, tmp_path: Path) -> None:
    """SQLite would play it back over what was restored."""
    back_up(f"sqlite:///{tmp_path / 'store.db'}", tmp_path / "a.backup")
    (tmp_path / "lost.db-wal").write_bytes(b"rest")
    with pytest.raises(BackupError, match=r"lost\.db-wal"):
        restore(f"sqlite:///{tmp_path / 'lost.db'}", tmp_path / "a.backup")


def test_a_restore_that_fails_half_way_puts_back_what_stood_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, postgres_url: str
) -> None:
    """Where ``pg_restore`` fails the schema that was set aside is back under its name."""
    if not shutil.which("pg_dump"):
        pytest.skip("no pg_dump on the path")
    url = emptied(postgres_url)
    store = open_store(url)
    store.upgrade()
    store.put_catalogue(CATALOGUE, Absent())
    before = store.catalogue_document()
    store.close()
    back_up(url, tmp_path / "a.backup")
    run: Callable[..., str] = postgres_dump._run

    def failing(program: str, where: object, *arguments: str) -> str:
        if "--single-transaction" in arguments:
            raise BackupError("the disk is full")
        return run(program, where, *arguments)

    monkeypatch.setattr(postgres_dump, "_run", failing)
    with pytest.raises(BackupError, match="the disk is full"):
        restore(url, tmp_path / "a.backup", replace=True)
    assert _catalogue(url) == before


def test_a_missing_program_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, postgres_url: str) -> None:
    """Where PostgreSQL's client programs are not installed, that is what is said."""
    url = emptied(postgres_url)
    store = open_store(url)
    store.upgrade()
    store.close()
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(BackupError, match="pg_dump is not installed"):
        back_up(url, tmp_path / "a.backup")
    assert list(tmp_path.iterdir()) == []
