"""The commands on PostgreSQL: the same as on a file, but a database there is never emptied."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from psycopg import sql

from tests.cli.command_line import refusal, run
from tests.stores import POSTGRES


@pytest.fixture
def url() -> Iterator[str]:
    """The URL of a new database, dropped afterwards; skips where there is no server."""
    try:
        server = psycopg.connect(POSTGRES, autocommit=True, connect_timeout=5)
    except psycopg.OperationalError as error:
        pytest.skip(f"no PostgreSQL server at TRAYWRIGHT_TEST_POSTGRES ({type(error).__name__})")
    name = f"traywright_cli_{os.getpid()}"
    with server:
        server.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        yield f"{POSTGRES.rpartition('/')[0]}/{name}"
        server.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name)))
    server.close()


def test_the_demo_is_stored_once_and_comes_out_the_same(tmp_path: Path, url: str) -> None:
    """A new database takes the demo, all its plans are recomputed alike, and a second demo is refused."""
    assert run(tmp_path, "demo", "--database", url).returncode == 0
    done = run(tmp_path, "recompute", "--database", url)
    assert (done.returncode, done.stdout) == (0, b"40 the same byte for byte, 0 different\n")
    assert "database of its own" in refusal(run(tmp_path, "demo", "--fresh", "--database", url))
    assert run(tmp_path, "database", "show", "--database", url).stdout.split()[-1] == b"40"
    assert list(tmp_path.iterdir()) == []
