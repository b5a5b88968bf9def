"""A store on each database: ``store`` is upgraded and empty, ``url`` is a database without tables."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.store import Store, open_store
from tests.stores import emptied, postgres_database


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """A PostgreSQL database for the session."""
    with postgres_database() as url:
        yield url


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The URL of an empty database, on both engines in turn."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'store.db'}"
    return emptied(request.getfixturevalue("postgres_url"))


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """An upgraded, empty store on both engines in turn."""
    opened = open_store(url)
    opened.upgrade()
    yield opened
    opened.close()


@pytest.fixture
def sqlite_store(tmp_path: Path) -> Iterator[Store]:
    """An upgraded, empty store in an SQLite file named ``store.db``."""
    opened = open_store(f"sqlite:///{tmp_path / 'store.db'}")
    opened.upgrade()
    yield opened
    opened.close()
