"""A file system of a few megabytes, to be filled to its last byte and given room again."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk(folder: Path, megabytes: int) -> Iterator[Path]:
    """A file system in memory, mounted at ``folder``; skips where that is not allowed."""
    if os.geteuid() != 0:
        pytest.skip("only root may mount the small file system of this test")
    folder.mkdir(exist_ok=True)
    mounting = ["mount", "-t", "tmpfs", "-o", f"size={megabytes}m,mode=755", "tmpfs", str(folder)]
    mounted = subprocess.run(mounting, capture_output=True, check=False)
    if mounted.returncode:
        pytest.skip(f"a small file system cannot be mounted here: {mounted.stderr.decode().strip()}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


class Ballast:
    """A file that takes the room of a disk, all of it or all but some bytes, and gives it back."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / "ballast"

    def take(self, but: int = 0) -> None:
        """Leave no more than ``but`` bytes free."""
        with open(self._file, "ab", buffering=0) as file:
            for block in (65_536, 4_096):
                while _free(self._file.parent) - block >= but:
                    try:
                        if file.write(b"\0" * block) < block:
                            return
                    except OSError:
                        break

    def give_back(self) -> None:
        """Make room again."""
        self._file.unlink()


def _free(folder: Path) -> int:
    found = os.statvfs(folder)
    return found.f_bavail * found.f_frsize
