"""Running ``python -m service`` as a person does, in a folder of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo"
POINTS = (DEMO / "splice-points.ndjson").read_bytes().splitlines()


def environment() -> dict[str, str]:
    """The environment without settings of ours, and with the code that is tested on the path."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("TRAYWRIGHT_")}
    return {**kept, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "COLUMNS": "100"}


def run(folder: Path, *arguments: str, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Run a command to its end; output and errors are bytes."""
    command = [sys.executable, "-m", "service", *arguments]
    return subprocess.run(
        command, cwd=folder, env=environment(), input=stdin, capture_output=True, timeout=120, check=False
    )


def refusal(done: subprocess.CompletedProcess[bytes]) -> str:
    """The one line of a command that could not be done; asserts that it is one, with exit code 2 and no output."""
    assert done.returncode == 2, (done.returncode, done.stdout, done.stderr)
    assert done.stdout == b""
    lines = done.stderr.decode().splitlines()
    assert len(lines) == 1, lines
    assert lines[0].startswith("traywright: ")
    return lines[0].removeprefix("traywright: ")
