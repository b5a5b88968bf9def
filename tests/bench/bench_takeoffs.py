"""A whole build over HTTP: from the first byte of its lines to its totals, with the service as it comes.

    python -m tests.bench.bench_takeoffs [--points 10000] [--builds distinct,repeats,any] [--processes 2] [--database
    URL]

Starts ``serve`` with its worker processes on a fresh SQLite file (or the database named, which must be new), sends the
build as NDJSON, asks until it is finished, reads the totals and the workbook. Three builds of the demo's generator:
``distinct`` (no two splice points ask for the same, each in one or two closures of the owner's standard), ``repeats``
(the same work comes again under other names, as in a real build) and ``any`` (as ``distinct``, and any of the
catalogue's ten closures may be taken, so that all are judged).

Seconds of the clock depend on what else the machine does. Beside them stand the CPU seconds of each process, and two
yardsticks of the same run: a fixed piece of arithmetic in as many processes as there are workers, against one alone
(1.0: as many cores were free), and planning alone, the same demands in one process without a store. ``peak`` is the
most memory that each process ever held (VmHWM).
"""

from __future__ import annotations

import argparse
import http.client
import json
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from service.building.demands import plan_demand
from service.building.equals import canonical
from service.store import AnyRevision, Snapshot, open_store
from tests.api.live_server import free_port
from tests.bench.bench_http import TICK
from tests.demo.files import CATALOGUE
from tests.demo.made_build import build, written

BUILDS = {
    "distinct": {"distinct": True, "standard": True},
    "repeats": {"distinct": False, "standard": True},
    "any": {"distinct": True, "standard": False},
}
ALONE = 300


def arithmetic(_: int) -> float:
    """Seconds that a fixed piece of work takes."""
    began = time.perf_counter()
    total = 0
    for number in range(3_000_000):
        total += number * number % 7
    return time.perf_counter() - began


def crowding(processes: int) -> float:
    """How much slower the fixed work is in so many processes at once than in one."""
    alone = min(arithmetic(0) for _ in range(3))
    with multiprocessing.get_context("spawn").Pool(processes) as pool:
        pool.map(arithmetic, range(processes))
        return sum(pool.map(arithmetic, range(2 * processes), chunksize=2)) / (2 * processes) / alone


def processes_of(pid: int) -> Iterator[int]:
    """A process and all that come of it."""
    yield pid
    for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
        yield from processes_of(int(child))


def cpu_s(pid: int) -> float:
    """User and system time of one process."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / TICK


def peak_mb(pid: int) -> float:
    """The most memory that a process ever held."""
    status = Path(f"/proc/{pid}/status").read_text()
    return int(status.partition("VmHWM:")[2].split()[0]) / 1024


@contextmanager
def serving(url: str, processes: int) -> Iterator[tuple[int, int]]:
    """The service on a database with the demo's catalogue; its port and its process."""
    store = open_store(url)
    store.upgrade()
    store.put_catalogue(json.loads(CATALOGUE), AnyRevision())
    store.close()
    port = free_port()
    command = [sys.executable, "-m", "service", "serve", "--database", url, "--port", str(port)]
    server = subprocess.Popen(
        [*command, "--takeoff-workers", str(processes)], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    assert server.stdout is not None
    try:
        server.stdout.readline()
        while True:
            try:
                ask(port, "GET", "/readyz")
                break
            except OSError:
                time.sleep(0.05)
        time.sleep(2)
        yield port, server.pid
    finally:
        server.terminate()
        server.wait()


def ask(port: int, method: str, path: str, body: Any = None) -> dict[str, Any]:
    """An answer in JSON."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=600)
    connection.request(method, path, body, {"Content-Type": "application/x-ndjson"} if body else {})
    answer: dict[str, Any] = json.load(connection.getresponse())
    connection.close()
    return answer


def workbook(port: int, path: str) -> int:
    """Bytes of a takeoff's materials as a workbook."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=600)
    connection.request("GET", f"{path}/materials.xlsx")
    size = len(connection.getresponse().read())
    connection.close()
    return size


def planning_alone_ms(name: str, snapshot: Snapshot) -> float:
    """CPU milliseconds of a demand, planned in this process without any store."""
    requests = []
    for point in build(ALONE, 7, **BUILDS[name]):
        point.pop("tags")
        requests.append(canonical(point, 0).request)
    requests = list(dict.fromkeys(requests))
    began = time.process_time()
    for number, request in enumerate(requests, start=1):
        plan_demand(snapshot, number, request)
    return (time.process_time() - began) / len(requests) * 1000


def run(name: str, points: int, processes: int, url: str) -> None:
    """One build, measured and printed."""
    store = open_store(url)
    with tempfile.NamedTemporaryFile() as file, serving(url, processes) as (port, server):
        for line in written(build(points, 7, **BUILDS[name])):
            file.write(line)
        file.flush()
        file.seek(0)
        before = {pid: cpu_s(pid) for pid in processes_of(server)}
        began = time.perf_counter()
        takeoff = ask(port, "POST", "/v1/takeoffs", file)
        sent = time.perf_counter()
        path = f"/v1/takeoffs/{takeoff['id']}"
        while store.takeoffs.get(takeoff["id"]).state == "running":
            time.sleep(0.05)
        planned = time.perf_counter()
        takeoff = ask(port, "GET", path)
        done = time.perf_counter()
        book = workbook(port, path)
        made = time.perf_counter()
        cpu = sorted((cpu_s(pid) - before.get(pid, 0.0) for pid in processes_of(server)), reverse=True)
        peaks = sorted((peak_mb(pid) for pid in processes_of(server)), reverse=True)
        size = Path(file.name).stat().st_size / 1e6
    alone, crowded = planning_alone_ms(name, store.snapshot()), crowding(processes)
    store.close()
    assert takeoff["state"] == "finished", takeoff
    demands, fitting = takeoff["demands"]["total"], takeoff["points"]["fitting"]
    parts = f"sending {sent - began:.2f}, working {planned - sent:.2f}, reading the totals {done - planned:.2f}"
    print(f"{name}: {points} points of {size:.1f} MB, {demands} demands, {fitting} fit, {processes} workers")
    print(f"  {done - began:6.2f} s   {parts}")
    print(f"  {made - done:6.2f} s   the workbook by splice point, {book / 1e6:.1f} MB")
    each_cpu = ", ".join(f"{each:.2f}" for each in cpu if each > 0.05)
    print(f"  CPU s of each process: {each_cpu}; together {sum(cpu):.2f}")
    print(f"  of it planning alone:  {alone * demands / 1000:.2f} ({alone:.2f} ms a demand)")
    print(f"  peak MB of each process: {', '.join(f'{each:.0f}' for each in peaks)}")
    print(f"  crowding {crowded:.2f}", flush=True)


def main() -> None:
    """Run the builds asked for."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--points", type=int, default=10_000)
    parser.add_argument("--builds", default="distinct,repeats,any")
    parser.add_argument("--processes", type=int, default=len(os.sched_getaffinity(0)))
    parser.add_argument("--database")
    arguments = parser.parse_args()
    for name in arguments.builds.split(","):
        with tempfile.TemporaryDirectory() as folder:
            url = arguments.database or f"sqlite:///{folder}/bench.db"
            run(name, arguments.points, arguments.processes, url)


if __name__ == "__main__":
    main()
