"""The schema's way up and down, and databases that are not at this version's schema."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import inspect, text

from service.store import AnyRevision, Damaged, NotMigrated, SchemaTooNew, Store, Unavailable, open_store, schema
from service.store.engines import Engines
from tests import catalogue_documents as documents


def tables(store: Store) -> set[str]:
    with store._engines.looking() as connection:
        return set(inspect(connection).get_table_names())


def test_an_upgrade_makes_the_tables_and_a_downgrade_takes_them_away(url: str) -> None:
    """From nothing to the newest schema, back to nothing, and up again."""
    store = open_store(url)
    store.upgrade()
    assert store.schema_revision() == schema.head()
    assert {"entries", "entry_revisions", "plans", "idempotency", "catalogue_state"} < tables(store)
    store.downgrade("base")
    assert store.schema_revision() is None
    assert tables(store) == {"alembic_version"}
    store.upgrade()
    assert store.catalogue_revision() == 0
    store.close()


def test_a_second_upgrade_changes_nothing(store: Store) -> None:
    """The catalogue and the cursor key outlast it."""
    store.put_catalogue(documents.whole(), AnyRevision())
    before = store.catalogue_document(), store.cursor_key()
    store.upgrade()
    assert (store.catalogue_document(), store.cursor_key()) == before


def test_the_migrations_make_the_tables_that_the_code_has(url: str) -> None:
    """``alembic check`` finds no difference between the migrated database and the table classes."""
    store = open_store(url)
    store.upgrade()
    with store._engines.migrating() as connection:
        command.check(schema.configuration(connection))
    store.close()


def test_an_upgrade_that_fails_leaves_the_schema_as_it_was(url: str) -> None:
    """The tables of a migration that breaks off half-way are gone with it, on SQLite too."""
    store = open_store(url)
    with store._engines.migrating() as connection:
        connection.execute(text("CREATE TABLE idempotency (key TEXT)"))
    with pytest.raises(Exception, match="already exists"):
        store.upgrade()
    assert tables(store) == {"idempotency"}
    assert store.schema_revision() is None


def test_a_database_without_tables_asks_for_an_upgrade(url: str) -> None:
    """Whatever is asked of it, it says what is to be done."""
    store = open_store(url)
    with pytest.raises(NotMigrated, match="upgrade"):
        store.catalogue_revision()
    with pytest.raises(NotMigrated, match="upgrade"):
        store.put_catalogue({}, AnyRevision())


def test_a_missing_file_is_not_made_by_reading(tmp_path: Path) -> None:
    """A path that was mistyped leaves no empty database behind."""
    store = open_store(f"sqlite:///{tmp_path / 'mistyped.db'}")
    with pytest.raises(NotMigrated):
        store.snapshot()
    assert list(tmp_path.iterdir()) == []


def test_a_database_of_a_later_version_is_left_alone(url: str) -> None:
    """Neither reading nor an upgrade by this version touches it."""
    store = open_store(url)
    store.upgrade()
    with store._engines.migrating() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    for attempt in (store.catalogue_revision, store.upgrade, lambda: store.downgrade("base")):
        with pytest.raises(SchemaTooNew, match="9999"):
            attempt()
    assert store.schema_revision() == "9999"
    assert "entries" in tables(store)


def test_a_file_that_is_no_database_is_recognised(tmp_path: Path) -> None:
    """A text file is refused by name and stays as it is."""
    path = tmp_path / "notes.db"
    path.write_text("These are the notes of the splicing crew, and not a database at all.\n" * 40)
    before = path.read_bytes()
    store = open_store(f"sqlite:///{path}")
    for attempt in (store.catalogue_revision, store.upgrade):
        with pytest.raises(Damaged, match="not a database"):
            attempt()
    assert path.read_bytes() == before


def test_a_database_of_something_else_is_not_taken_for_ours(url: str, tmp_path: Path) -> None:
    """Tables of another application are no schema of this one."""
    store = open_store(url)
    with store._engines.migrating() as connection:
        connection.execute(text("CREATE TABLE recipes (id INTEGER)"))
    with pytest.raises(NotMigrated):
        store.catalogue_revision()


@pytest.mark.parametrize(
    "bad", ["", "nonsense", "mysql://host/db", "sqlite://", "sqlite:///:memory:", "postgresql+asyncpg://host/db"]
)
def test_a_url_that_cannot_serve_is_refused_at_once(bad: str) -> None:
    """Another engine, a database in memory, or no URL at all."""
    with pytest.raises(Unavailable):
        open_store(bad)


def test_a_plain_postgresql_url_means_the_installed_driver() -> None:
    """postgresql:// and postgres:// are psycopg's, and the password is kept."""
    for scheme in ("postgresql", "postgres", "postgresql+psycopg"):
        engines = Engines(f"{scheme}://u:p@h/d", schema.check)
        assert engines.url.render_as_string(hide_password=False) == "postgresql+psycopg://u:p@h/d"


def test_the_cursor_key_is_the_same_for_everybody_and_another_one_in_another_database(
    store: Store, url: str, tmp_path: Path
) -> None:
    """Two stores on one database sign alike; two databases do not."""
    again = open_store(url)
    assert store.cursor_key() == again.cursor_key()
    other = open_store(f"sqlite:///{tmp_path / 'other.db'}")
    other.upgrade()
    assert len(other.cursor_key()) == 32
    assert other.cursor_key() != store.cursor_key()
    again.close()
    other.close()


def test_a_path_names_the_file_it_says(tmp_path: Path) -> None:
    """Blanks, percent and question marks in a path are kept; the URL writes the last two as %25 and %3F."""
    store = open_store(f"sqlite:///{tmp_path}/a plan%3F 100%2541#1.db")
    store.upgrade()
    store.catalogue_revision()
    store.close()
    assert (tmp_path / "a plan? 100%41#1.db").exists()
