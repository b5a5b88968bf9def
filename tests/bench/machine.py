"""What a benchmark ran on."""

from __future__ import annotations

import os
import platform
from datetime import UTC, datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any


def machine() -> dict[str, Any]:
    """Date, processor, cores, load of the last minute, Python, and the versions of the solvers compared with."""
    return {
        "date": datetime.now(UTC).date().isoformat(),
        "processor": _processor(),
        "cores": os.cpu_count(),
        "load": os.getloadavg()[0],
        "python": platform.python_version(),
        "solvers": {name: _version(name) for name in ("ortools", "highspy")},
    }


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text("utf-8").splitlines()
    except OSError:
        return platform.machine()
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return f"{platform.machine()} ({names[0]})" if names else platform.machine()


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None
