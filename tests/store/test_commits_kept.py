"""Commits on PostgreSQL are on the disk when they are told of, however the server is set up."""

from __future__ import annotations

import logging

import pytest

from service.store import open_store, postgres
from tests.stores import emptied


def setting(url: str, name: str) -> str:
    """A setting as it is on a connection for writing."""
    store = open_store(url)
    store.upgrade()
    try:
        with store._engines.writing() as connection:
            found: str = connection.exec_driver_sql(f"SHOW {name}").scalar_one()
            return found
    finally:
        store.close()


@pytest.mark.parametrize(("said", "kept"), [("off", "on"), ("on", "on"), ("local", "local"), ("remote_apply",) * 2])
def test_a_commit_is_never_told_of_before_it_is_on_the_disk(postgres_url: str, said: str, kept: str) -> None:
    """``synchronous_commit=off`` is set right; what waits for the disk, or for more, stays as the operator wants it."""
    url = f"{emptied(postgres_url)}?options=-c%20synchronous_commit%3D{said}"
    assert setting(url, "synchronous_commit") == kept


def test_a_server_that_does_not_sync_is_told_of(
    postgres_url: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """A setting that has to be on and is off is named in the log; with all of them on nothing is said."""
    url = emptied(postgres_url)
    with caplog.at_level(logging.WARNING, "service.store.postgres"):
        setting(url, "fsync")
        assert caplog.messages == []
        # A stand-in that is off on every server, since a server without fsync is nothing to begin for a test.
        monkeypatch.setattr(postgres, "_AT_RISK", ("log_statement_stats",))
        setting(url, "fsync")
    assert "log_statement_stats=off" in caplog.messages[0]
