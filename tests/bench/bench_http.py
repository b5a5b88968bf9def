"""What a plan costs over HTTP: CPU of the server process a request, beside a constant answer of the same server.

    python -m tests.bench.bench_http [workers]

Without ``workers`` the embedded server is measured, else granian with so many processes. Prints medians of nine
batches in microseconds of CPU (user and system, from the process's own accounting), and what the plan, the stored
plan and the fit check cost beyond the constant answer. The request is the description's own example: 24 splices.
"""

from __future__ import annotations

import http.client
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from service.api.spec import load_spec
from service.settings import Settings, environment_of
from service.store import AnyRevision, open_store
from tests.api.live_server import free_port

BATCHES, BATCH = 9, 200
EMBEDDED = (
    "import os\nfrom service.app import app_from_environment\n"
    "from service.api.serving import serve_embedded, serve_workers\n"
    "from service.settings import settings_from\nsettings = settings_from(os.environ)\n"
    "serve_workers(settings) if settings.workers > 1 else serve_embedded(app_from_environment(), settings)\n"
)
TICK = os.sysconf("SC_CLK_TCK")


def example(name: str) -> Any:
    """An example of the description."""
    return load_spec().document["components"]["examples"][name]["value"]


def cpu_seconds(pid: int) -> float:
    """User and system time of a process and of its children that still run."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    own = (int(fields[11]) + int(fields[12])) / TICK
    children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
    return own + sum(cpu_seconds(int(child)) for child in children)


def measure(connection: http.client.HTTPConnection, pid: int, method: str, path: str, body: bytes | None) -> float:
    """Median microseconds of CPU a request."""
    headers = {"Content-Type": "application/json"} if body else {}
    costs = []
    for batch in range(BATCHES + 1):
        before = cpu_seconds(pid)
        for _ in range(BATCH):
            connection.request(method, path, body, headers)
            response = connection.getresponse()
            content = response.read()
            assert response.status in (200, 201), content
        if batch:
            costs.append((cpu_seconds(pid) - before) / BATCH * 1e6)
    return statistics.median(costs)


def main() -> None:
    """Start a server on a fresh SQLite file, measure, and print."""
    with tempfile.TemporaryDirectory() as folder:
        workers = int(sys.argv[1]) if len(sys.argv) > 1 else 1
        settings = Settings(database=f"sqlite:///{folder}/bench.db", port=free_port(), workers=workers)
        store = open_store(settings.database)
        store.upgrade()
        store.put_catalogue(example("smallCatalogue"), AnyRevision())
        store.close()
        server = subprocess.Popen([sys.executable, "-c", EMBEDDED], env={**os.environ, **environment_of(settings)})
        try:
            time.sleep(3)
            connection = http.client.HTTPConnection("127.0.0.1", settings.port)
            body = json.dumps(example("handholeRequest")).encode()
            constant = measure(connection, server.pid, "GET", "/healthz", None)
            print(f"constant answer      {constant:8.0f} us")
            for name, path in (
                ("fit check", "/v1/fit-checks"),
                ("plan", "/v1/plans?store=false"),
                ("plan, stored", "/v1/plans"),
            ):
                cost = measure(connection, server.pid, "POST", path, body)
                print(f"{name:20} {cost:8.0f} us, {cost - constant:6.0f} us beyond the constant answer")
        finally:
            server.terminate()
            server.wait()


if __name__ == "__main__":
    main()
