"""``tokens``: made, listed and revoked on the command line, and what they let the server do."""

from __future__ import annotations

import os
import pwd
import re
from pathlib import Path

import pytest

from service.store import AuditFilter, open_store
from tests.cli.command_line import refusal, run


def _added(folder: Path, *arguments: str) -> str:
    done = run(folder, "tokens", "add", "--name", "Crew 4", "--scope", "read", *arguments, "--database", "build.db")
    assert done.returncode == 0, done.stderr
    return done.stdout.decode().splitlines()[0]


def test_a_token_is_printed_once_listed_without_its_secret_and_revoked(tmp_path: Path) -> None:
    """The database and the team are made on the way."""
    token = _added(tmp_path, "--team", "north", "--scope", "build")
    assert re.fullmatch(r"tw_[0-9a-f]{32}_[A-Za-z0-9_-]{43}", token)
    id = token.split("_")[1]
    listed = run(tmp_path, "tokens", "list", "--team", "north", "--database", "build.db").stdout.decode()
    assert f"{id}  Crew 4  read build" in listed
    assert token.split("_", 2)[2] not in listed
    assert id not in run(tmp_path, "tokens", "list", "--database", "build.db").stdout.decode()
    assert "no such token" in refusal(run(tmp_path, "tokens", "revoke", id, "--database", "build.db"))
    done = run(tmp_path, "tokens", "revoke", id, "--team", "north", "--database", "build.db")
    assert done.stdout.decode() == f"revoked {id}  Crew 4\n"
    listed = run(tmp_path, "tokens", "list", "--team", "north", "--database", "build.db").stdout.decode()
    assert listed.rstrip().endswith("revoked")


def test_whoever_made_a_token_at_the_command_line_is_on_record(tmp_path: Path) -> None:
    """By the account that the command ran under; there is no token to name."""
    _added(tmp_path)
    store = open_store(f"sqlite:///{tmp_path / 'build.db'}")
    made = store.audit.listed(1, None, AuditFilter())[0]
    store.close()
    assert (made.operation, made.kind, made.by.token) == ("make", "tokens", None)
    assert made.by.name == f"command line, {pwd.getpwuid(os.getuid()).pw_name}"


@pytest.mark.parametrize(
    "arguments",
    [
        ("add", "--name", "a"),
        ("add", "--scope", "read"),
        ("add", "--name", "a", "--scope", "all"),
        ("add", "--name", "a", "--scope", "read", "--expires", "2020-01-01"),
        ("add", "--name", "a", "--scope", "read", "--expires", "soon"),
        ("add", "--name", "a", "--scope", "read", "--team", "no team"),
        ("revoke",),
        ("list", "--scope", "read"),
    ],
)
def test_what_is_missing_or_has_no_meaning_is_one_line(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    """And no database is made."""
    refusal(run(tmp_path, "tokens", *arguments, "--database", "build.db"))
    assert not any(tmp_path.iterdir()) or "--expires" in arguments


def test_another_address_is_served_as_soon_as_there_is_a_token(tmp_path: Path) -> None:
    """Before, it is refused with the way to make one; afterwards the refusal is of the address alone."""
    run(tmp_path, "database", "upgrade", "--database", "build.db")
    serve = ("serve", "--host", "192.0.2.7", "--database", "build.db", "--takeoff-workers", "0")
    assert "tokens add" in refusal(run(tmp_path, *serve))
    _added(tmp_path)
    done = run(tmp_path, *serve)
    assert done.returncode == 2
    assert "192.0.2.7:8080: " in done.stderr.decode()
    assert "no access token" not in (done.stderr + done.stdout).decode()
    store = open_store(f"sqlite:///{tmp_path / 'build.db'}")
    assert store.access.any_token()
    store.close()
