"""The package, built once a session from this tree without a network, and installed into a folder of its own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def build(tree: Path, into: Path, *targets: str) -> None:
    """Build with the back end that pyproject.toml names, in this environment."""
    command = [sys.executable, "-m", "hatchling", "build", "-d", str(into)]
    for target in targets:
        command += ["-t", target]
    subprocess.run(command, cwd=tree, check=True, capture_output=True, timeout=120)


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel and the source distribution."""
    folder = tmp_path_factory.mktemp("built")
    build(ROOT, folder, "sdist", "wheel")
    return folder


@pytest.fixture(scope="session")
def installed(built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that pip installed the wheel into; what it depends on is this environment's."""
    folder = tmp_path_factory.mktemp("installed")
    (wheel,) = built.glob("*.whl")
    command = [sys.executable, "-m", "pip", "install", "-q", "--no-index", "--no-deps", "--no-compile"]
    subprocess.run([*command, "--target", str(folder), str(wheel)], check=True, capture_output=True, timeout=120)
    return folder
