"""A run of clients on two servers of one database, with or without kills, and what its history comes to."""

from __future__ import annotations

import random
import threading
import time
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from service.settings import Settings
from service.store import AnyRevision, open_store
from tests.faults.history.checking import faults_of
from tests.faults.history.clients import HistoryClient
from tests.faults.history.operations import Operation
from tests.faults.history.things import CATALOGUE, Things
from tests.faults.insisting import Line
from tests.faults.killable_server import KillableServer
from tests.faults.private_postgres import PrivatePostgres
from tests.faults.written import catalogue

CLIENTS, SERVERS = 8, 2


@dataclass
class Recorded:
    """A history and what was found: ``faults`` of it, and answers that may never be given."""

    history: list[Operation]
    faults: list[str]
    kills: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0

    @property
    def outcomes(self) -> Counter[str]:
        """How many operations of each outcome; the catalogue's number beside another one is none."""
        return Counter(each.outcome for each in self.history if each.thing != CATALOGUE)


def recorded_history(
    url: str,
    operations: int,
    seed: int,
    kills: int = 0,
    postgres: PrivatePostgres | None = None,
    going_on: Callable[[str], None] = lambda told: None,
) -> Recorded:
    """Let eight clients go on, on an empty database, until there are so many operations and kills.

    Killed are the servers in turn, and ``postgres`` where it is given. ``going_on`` is told now and then how far it is.
    """
    began, chance, killed = time.monotonic(), random.Random(seed), Counter[str]()
    _made(url)
    servers = [KillableServer(Settings(database=url, threads=CLIENTS)) for _ in range(SERVERS)]
    stop = threading.Event()
    try:
        for server in servers:
            server.start()
        for server in servers:
            server.awaited()
        ports = [server.port for server in servers]
        line = Line(ports[0])
        things = Things(line, 3 + operations // 40)
        line.drop()
        clients = [HistoryClient(number, ports, things, stop, chance.randrange(2**32)) for number in range(CLIENTS)]
        reader = HistoryClient(CLIENTS, ports, things, stop, 0)
        _read_all(reader, things, ports)
        for client in clients:
            client.start()
        for number in range(kills):
            _until(clients, operations * number // kills, going_on)
            time.sleep(chance.uniform(0.0, 0.1))
            killed[_kill(servers[number % SERVERS], postgres if number % 3 == 2 else None)] += 1
        _until(clients, operations, going_on)
        stop.set()
        for client in clients:
            client.join(120)
        _read_all(reader, things, ports)
    finally:
        stop.set()
        for server in servers:
            server.kill()
    history = [each for client in (*clients, reader) for each in client.history]
    faults = [f"{client.name} does not end" for client in clients if client.is_alive()]
    faults += [wrong for client in (*clients, reader) for wrong in client.wrong]
    faults += faults_of(history, [CATALOGUE])
    return Recorded(history, faults, killed, time.monotonic() - began)


def _made(url: str) -> None:
    store = open_store(url)
    store.upgrade()
    store.put_catalogue(catalogue(), AnyRevision())
    store.close()


def _read_all(reader: HistoryClient, things: Things, ports: Sequence[int]) -> None:
    """Read every thing by way of every server, before and after everything else."""
    for port in ports:
        line = Line(port)
        for thing in things.all:
            last = time.monotonic() + 60
            while not reader.read(thing, line):
                assert time.monotonic() < last, f"{thing.name} cannot be read"
        line.drop()


def _until(clients: Sequence[HistoryClient], operations: int, going_on: Callable[[str], None]) -> None:
    """Wait for so many operations, or for the first wrong answer."""
    before, last = -1, time.monotonic() + 120
    while (done := sum(len(client.history) for client in clients)) < operations:
        if done > before:
            before, last = done, time.monotonic() + 120
        assert time.monotonic() < last, "the clients get no further"
        if any(client.wrong or not client.is_alive() for client in clients):
            return
        going_on(f"{done} operations")
        time.sleep(0.01)


def _kill(server: KillableServer, postgres: PrivatePostgres | None) -> str:
    if postgres is not None:
        postgres.kill()
        postgres.start()
        return "PostgreSQL"
    server.kill()
    server.start()
    return "server"
