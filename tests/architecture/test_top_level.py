"""What lies at the top of the tree: what was agreed on, and nothing left over from a trial."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
AGREED = {
    "README.md", "DEVELOPERS.md", "LICENSE", "Dockerfile", "pyproject.toml", "openapi.yaml", "service", "tests", "demo",
}  # fmt: skip


def test_nothing_else_is_kept_at_the_top() -> None:
    """The files that are kept lie in these places, or have names that begin with a dot."""
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("this is no clone: what is kept cannot be told from what lies about")
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert {path.split("/")[0] for path in listed.splitlines() if not path.startswith(".")} == AGREED
