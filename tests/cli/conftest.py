"""The demo, run once a session, and its database copied for every test that wants one."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.cli.command_line import run


@pytest.fixture(scope="session")
def demo_run(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, subprocess.CompletedProcess[bytes]]:
    """The folder that the demo was run in, and what it printed."""
    folder = tmp_path_factory.mktemp("demo")
    return folder, run(folder, "demo")


@pytest.fixture
def demo_folder(demo_run: tuple[Path, subprocess.CompletedProcess[bytes]], tmp_path: Path) -> Path:
    """A folder of the test's own with the demo's database in it."""
    shutil.copy(demo_run[0] / "demo.sqlite3", tmp_path)
    return tmp_path
