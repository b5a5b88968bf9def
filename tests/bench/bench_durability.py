"""What it costs that an acknowledged plan is on the disk: ``python -m tests.bench.bench_durability [ROUNDS] [FOLDER]``.

Stores plans under keys, as a request does, with SQLite's ways to synchronise and PostgreSQL's to commit, by one client
and by eight at once. Settings take turns, and each is told as a ratio to the same database that does not wait for its
disk, so that a busy machine is busy for all. Beside it stands what a single fdatasync of 4 kB takes on that disk.
FOLDER (default: that of temporary files) says which disk.
"""

from __future__ import annotations

import logging
import os
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from unittest.mock import patch

import orjson
from sqlalchemy import event

from service.store import AnyRevision, Store, open_store, sqlite
from service.store.plans import NewPlan
from tests.bench.machine import machine
from tests.demo.files import CATALOGUE
from tests.faults.private_postgres import private_postgres
from tests.store.plan_rows import new_key, new_plan

STORES = 60
"""Plans that a client stores in a round."""

BODY = b'{"text":"' + b"x" * 3_000 + b'"}'
"""As large as the request and the answer of a plan of some two dozen splices are."""


@dataclass(frozen=True)
class Way:
    """A database with settings that its connections for writing are given.

    ``in_use``: those of the service. ``journal``: SQLite's rollback journal instead of its log.
    """

    name: str
    statements: tuple[str, ...]
    in_use: bool = False
    journal: bool = False


SQLITE = (
    Way("SQLite, log, OFF", ("PRAGMA synchronous=OFF",)),
    Way("SQLite, log, NORMAL", ("PRAGMA synchronous=NORMAL",)),
    Way("SQLite, log, FULL", (), in_use=True),
    Way("SQLite, log, EXTRA", ("PRAGMA synchronous=EXTRA",)),
    Way("SQLite, rollback journal, FULL", ("PRAGMA synchronous=FULL",), journal=True),
    Way("SQLite, rollback journal, EXTRA", (), journal=True),
)
POSTGRESQL = (
    Way("PostgreSQL, synchronous_commit=off", ("SET synchronous_commit TO off",)),
    Way("PostgreSQL, synchronous_commit=on", (), in_use=True),
)


@contextmanager
def opened(url: str, way: Way) -> Iterator[Store]:
    """A store whose connections for writing have the settings of a way, over those that they come with."""

    def set_up(connection: object, _record: object) -> None:
        cursor = connection.cursor()  # type: ignore[attr-defined]
        for statement in way.statements:
            cursor.execute(statement)
        cursor.close()
        connection.commit()  # type: ignore[attr-defined]

    store = open_store(url)
    # The one connection for writing is made here, and stays.
    with patch.object(sqlite, "log_is_safe", (lambda version: False) if way.journal else sqlite.log_is_safe):
        store.upgrade()
        assert store.catalogue_revision() == 0
        event.listen(store._engines._write, "connect", set_up)
        store.put_catalogue(orjson.loads(CATALOGUE), AnyRevision())
    try:
        yield store
    finally:
        store.close()


def stored(store: Store, clients: int) -> float:
    """Seconds on the wall for each plan where so many clients store at once."""
    snapshot = store.snapshot()
    work: list[list[NewPlan]] = [
        [new_plan(snapshot, id=uuid.uuid4().hex, request=BODY, answer=BODY) for _ in range(STORES)]
        for _ in range(clients)
    ]

    def write(plans: list[NewPlan]) -> None:
        for plan in plans:
            store.add_plan(plan, snapshot, idempotency=new_key(plan.id))

    threads = [threading.Thread(target=write, args=(plans,)) for plans in work]
    began = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return (time.perf_counter() - began) / (clients * STORES)


def synced(folder: Path, times: int = 100) -> float:
    """Median seconds of writing 4 kB behind a file's end and waiting for the disk."""
    taken = []
    with (folder / "synced").open("wb", buffering=0) as file:
        for _ in range(times):
            began = time.perf_counter()
            file.write(b"x" * 4096)
            os.fdatasync(file.fileno())
            taken.append(time.perf_counter() - began)
    return median(taken)


def compared(ways: tuple[Way, ...], url_of: Callable[[int], str], rounds: int) -> Iterator[str]:
    """Rows of a table; the first way is what the others are told as ratios to."""
    with ExitStack() as stack:
        stores = [stack.enter_context(opened(url_of(number), way)) for number, way in enumerate(ways)]
        for store in stores:
            stored(store, 1)
        taken: dict[tuple[int, int], list[float]] = {}
        for _ in range(rounds):
            for clients in (1, 8):
                for number, store in enumerate(stores):
                    taken.setdefault((number, clients), []).append(stored(store, clients))
    for number, way in enumerate(ways):
        cells = []
        for clients in (1, 8):
            ratios = [each / plain for each, plain in zip(taken[number, clients], taken[0, clients], strict=True)]
            cells.append(f"{median(taken[number, clients]) * 1000:.2f} ms, {median(ratios):.2f}")
        yield f"| {'**' if way.in_use else ''}{way.name}{'**' if way.in_use else ''} | {' | '.join(cells)} |"


def main() -> None:
    """Measure and print a table."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 9
    parent = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    # That SQLite takes the journal where it is told that its log is not safe needs no warning here.
    logging.disable(logging.WARNING)
    print(machine(), flush=True)
    with tempfile.TemporaryDirectory(dir=parent) as name:
        folder = Path(name)
        print(f"fdatasync of 4 kB: {synced(folder) * 1000:.2f} ms (median of 100)\n")
        print("| settings (bold: in use) | a plan stored by one client, ratio | by eight at once, ratio |")
        print("| --- | --- | --- |", flush=True)
        print("\n".join(compared(SQLITE, lambda number: f"sqlite:///{folder / f'{number}.db'}", rounds)), flush=True)
    with ExitStack() as stack:
        clusters = [stack.enter_context(private_postgres()) for _ in POSTGRESQL]
        print("\n".join(compared(POSTGRESQL, lambda number: clusters[number].url, rounds)))


if __name__ == "__main__":
    main()
