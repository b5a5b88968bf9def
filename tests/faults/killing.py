"""Runs in which servers, workers and PostgreSQL are killed at random while clients write."""

from __future__ import annotations

import os
import random
import signal
import threading
import time
from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

from service.building.demand_work import demand_work
from service.building.embedded import EmbeddedWorkers
from service.settings import Settings
from service.store import AnyRevision, open_store
from service.store.moments import utc_now
from tests.faults.afterwards import faults_afterwards, unfinished
from tests.faults.killable_server import KillableServer
from tests.faults.private_postgres import PrivatePostgres
from tests.faults.writing_clients import WritingClient

CLIENTS = 8
OFFICE = "Office"
"""The name of the token that all clients show."""


@dataclass
class Run:
    """What a run came to. ``faults`` says in words what was lost, doubled, broken or answered wrongly."""

    kills: Counter[str] = field(default_factory=Counter)
    writes: Counter[str] = field(default_factory=Counter)
    again: int = 0
    statuses: Counter[int] = field(default_factory=Counter)
    seconds: float = 0.0
    faults: list[str] = field(default_factory=list)


def killed_at_random(
    url: str,
    document: dict[str, Any],
    request: dict[str, Any],
    kills: int,
    writes: int,
    seed: int,
    postgres: PrivatePostgres | None = None,
    going_on: Callable[[str], None] = lambda told: None,
) -> Run:
    """Let eight clients write on an empty database until so many kills and acknowledged writes have been reached.

    Who is killed is drawn: the server (most often), a worker of takeoffs, and PostgreSQL where it is the test's own.
    ``going_on`` is told now and then how far it is.
    """
    chance, run, began = random.Random(seed), Run(), time.monotonic()
    store = open_store(url)
    store.upgrade()
    store.put_catalogue(document, AnyRevision())
    _, token = store.access.make(store.access.team("default"), OFFICE, ("admin",), utc_now() + timedelta(days=1))
    store.close()
    server = KillableServer(Settings(database=url, threads=8))
    server.start()
    server.awaited()
    stop = threading.Event()
    clients = [WritingClient(n, server.port, str(token), request, stop, -(-writes // CLIENTS)) for n in range(CLIENTS)]
    try:
        with EmbeddedWorkers(url, demand_work(), 1, lease_s=2.0) as workers:
            for client in clients:
                client.start()
            victims: list[Callable[[], str]] = [lambda: _server(server)] * 4 + [lambda: _worker(workers)]
            if postgres is not None:
                victims += [lambda: _database(postgres)] * 3
            for number in range(kills):
                _let_write(clients, writes * number // kills, going_on)
                time.sleep(chance.uniform(0.0, 0.15))
                run.kills[chance.choice(victims)()] += 1
            _let_write(clients, writes, going_on)
            stop.set()
            for client in clients:
                client.join(120)
            told = [client.told for client in clients]
            run.faults += [f"{client.name} does not end" for client in clients if client.is_alive()]
            store = open_store(url)
            going_on("waiting for takeoffs")
            run.faults += unfinished(store, told)
    finally:
        stop.set()
        server.kill()
    going_on("looking at what is there")
    run.faults += faults_afterwards(store, told, OFFICE)
    store.close()
    for each in told:
        run.again += each.again
        run.statuses += each.statuses
        run.writes += each.writes
    run.seconds = time.monotonic() - began
    return run


def _let_write(clients: Sequence[WritingClient], wanted: int, going_on: Callable[[str], None]) -> None:
    """Wait until so many writes are acknowledged, or for the first wrong answer."""
    last = time.monotonic() + 120
    while (done := sum(client.told.writes.total() for client in clients)) < wanted:
        assert time.monotonic() < last, "the clients get no further"
        going_on(f"{done} writes acknowledged")
        if any(client.told.wrong or not client.is_alive() for client in clients):
            return
        time.sleep(0.005)


def _server(server: KillableServer) -> str:
    server.kill()
    server.start()
    return "server"


def _worker(workers: EmbeddedWorkers) -> str:
    for process in workers.process_ids():
        with suppress(ProcessLookupError):
            os.kill(process, signal.SIGKILL)
    return "worker"


def _database(postgres: PrivatePostgres) -> str:
    postgres.kill()
    postgres.start()
    return "PostgreSQL"


def sqlite_url(folder: Path) -> str:
    """The URL of a database file to come."""
    return f"sqlite:///{folder / 'killed.db'}"
