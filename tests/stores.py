"""Databases for tests: an SQLite file each, and on PostgreSQL one database a test session, emptied for each test."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
import pytest
from psycopg import sql

POSTGRES = os.environ.get("TRAYWRIGHT_TEST_POSTGRES", "postgresql://root@127.0.0.1:5432/postgres")
DATABASE = f"traywright_test_{os.getpid()}"


def _server() -> psycopg.Connection:
    return psycopg.connect(POSTGRES, autocommit=True, connect_timeout=5)


@contextmanager
def postgres_database() -> Iterator[str]:
    """The URL of a database made for this session and dropped after it; skips where there is no server."""
    try:
        server = _server()
    except psycopg.OperationalError as error:
        pytest.skip(f"no PostgreSQL server at TRAYWRIGHT_TEST_POSTGRES ({type(error).__name__})")
    name = sql.Identifier(DATABASE)
    with server:
        server.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(name))
        # A language's order of letters, which must not become the order of codes
        order = "TEMPLATE template0 ENCODING 'UTF8' LOCALE_PROVIDER icu ICU_LOCALE 'en'"
        server.execute(sql.SQL("CREATE DATABASE {} " + order).format(name))
    server.close()
    try:
        yield POSTGRES.rpartition("/")[0] + "/" + DATABASE
    finally:
        with _server() as server:
            server.execute(sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(name))


def emptied(url: str) -> str:
    """The same database without any table."""
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute("DROP SCHEMA IF EXISTS public CASCADE")
        connection.execute("CREATE SCHEMA public")
    return url
