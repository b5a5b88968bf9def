"""The clusters of fault tests: their programs are found, and nothing required is skipped in silence."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.faults import private_postgres
from tests.faults.private_postgres import PROGRAMS, insisted_on, programs


def installed(folder: Path, version: str, *names: str) -> Path:
    """A folder in which programs of a version lie."""
    bin = folder / version / "bin"
    bin.mkdir(parents=True)
    for name in names:
        (bin / name).touch()
    return bin


def test_the_newest_version_that_is_whole_is_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """17 before 9, by number; one that lacks a program, such as one of clients alone, is passed over."""
    monkeypatch.setenv("PATH", "")
    assert programs(tmp_path) is None
    installed(tmp_path, "9", *PROGRAMS)
    newest = installed(tmp_path, "17", *PROGRAMS)
    installed(tmp_path, "18", "psql")
    assert programs(tmp_path) == newest


def test_where_postgresql_is_required_its_absence_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    """Skipped without ``TRAYWRIGHT_REQUIRE_POSTGRES``, failed with it."""
    monkeypatch.setattr(private_postgres, "programs", lambda: None)
    monkeypatch.delenv("TRAYWRIGHT_REQUIRE_POSTGRES", raising=False)
    with pytest.raises(pytest.skip.Exception, match="not installed"):
        insisted_on()
    monkeypatch.setenv("TRAYWRIGHT_REQUIRE_POSTGRES", "1")
    with pytest.raises(pytest.fail.Exception, match="is set and"):
        insisted_on()
