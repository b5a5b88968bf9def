"""Names of workers, from which a dead one on this machine can be told."""

from __future__ import annotations

import os
import platform
from collections.abc import Iterable
from pathlib import Path
from uuid import uuid4


def worker_name(process: int) -> str:
    """A name for a worker that is this process of this machine, different each time."""
    return f"{platform.node()[:64]}/{process}/{uuid4().hex[:8]}"


def dead_here(names: Iterable[str]) -> list[str]:
    """Those of the names whose machine is this one and whose process is there no more."""
    return [name for name in names if _is_dead(*name.split("/")[:2])]


def _is_dead(machine: str, process: str = "") -> bool:
    if machine != platform.node()[:64] or not process.isdecimal():
        return False
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return _is_only_a_name(int(process))


def _is_only_a_name(process: int) -> bool:
    """Whether a process has ended and nobody has asked yet how; where that cannot be told it counts as living."""
    try:
        told = Path(f"/proc/{process}/stat").read_text()
    except OSError:
        return False
    # The state follows the program's name, which stands in brackets and may hold anything (proc(5)).
    return told.rpartition(")")[2].split()[0] in ("Z", "X")
