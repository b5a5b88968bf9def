"""Clients that mean no good, or are only very slow, and what honest ones notice of them."""

from __future__ import annotations

import http.client
import json
import socket
import threading
import time
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

from service.settings import Settings
from service.store import AnyRevision, open_store
from tests.faults.killable_server import KillableServer
from tests.faults.written import catalogue, request

HEAD = b"POST /v1/plans?store=false HTTP/1.1\r\nHost: h\r\nContent-Type: application/json\r\n"
LINES_HEAD = b"POST /v1/takeoffs HTTP/1.1\r\nHost: h\r\nContent-Type: application/x-ndjson\r\n"
DROP_S = 5.0
HONEST = 4


@contextmanager
def server_on_file(folder: Path) -> Iterator[KillableServer]:
    """A server with the small catalogue in an SQLite file, in a process of its own."""
    url = f"sqlite:///{folder / 'abused.db'}"
    store = open_store(url)
    store.upgrade()
    store.put_catalogue(catalogue(), AnyRevision())
    store.close()
    server = KillableServer(Settings(database=url))
    server.start()
    try:
        server.awaited()
        yield server
    finally:
        server.kill()


@dataclass
class Honest:
    """What honest clients met: how long each answer took, in seconds, and what was not a 200."""

    seconds: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def at(self, share: float) -> float:
        """The time within which this share of the requests was answered, in seconds."""
        return sorted(self.seconds)[min(len(self.seconds) - 1, int(share * len(self.seconds)))]


def honest_requests(port: int, seconds: float, pause_s: float = 0.02) -> Honest:
    """Four clients that ask for a plan again and again, each on a connection that it opens for it."""
    found, body, last = Honest(), json.dumps(request()).encode(), time.monotonic() + seconds

    def ask() -> None:
        while time.monotonic() < last:
            began = time.monotonic()
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
            try:
                connection.request("POST", "/v1/plans?store=false", body, {"Content-Type": "application/json"})
                response = connection.getresponse()
                response.read()
                found.seconds.append(time.monotonic() - began)
                if response.status != 200:
                    found.wrong.append(str(response.status))
            except (OSError, http.client.HTTPException) as error:
                found.wrong.append(repr(error))
            finally:
                connection.close()
            time.sleep(pause_s)

    clients = [threading.Thread(target=ask) for _ in range(HONEST)]
    for client in clients:
        client.start()
    for client in clients:
        client.join()
    return found


class SlowClients(threading.Thread):
    """Connections that send half a head, or half a body, and then a byte every few seconds.

    One that the server ends is opened again, as somebody who means no good would do. ``ended`` counts them.
    """

    def __init__(self, port: int, heads: int, bodies: int) -> None:
        super().__init__(daemon=True)
        self.ended, self.refused = 0, 0
        self._port, self._over = port, threading.Event()
        self._beginnings = [HEAD + b"X-Slow: "] * heads + [HEAD + b'Content-Length: 900000\r\n\r\n{"name": "'] * bodies
        self._open: list[socket.socket | None] = [None] * len(self._beginnings)

    @property
    def held(self) -> int:
        """How many are open."""
        return sum(each is not None for each in self._open)

    def begin(self) -> None:
        """Open them all."""
        for number in range(len(self._open)):
            self._begin(number)
        self.start()

    def run(self) -> None:
        """A byte on each, every ``DROP_S``."""
        while not self._over.wait(DROP_S):
            for number, connection in enumerate(self._open):
                try:
                    if connection is not None:
                        connection.sendall(b"a")
                        continue
                except OSError:
                    self.ended += 1
                    self._end(number)
                self._begin(number)

    def end(self) -> None:
        """Close them."""
        self._over.set()
        self.join()
        for number in range(len(self._open)):
            self._end(number)

    def _begin(self, number: int) -> None:
        try:
            connection = socket.create_connection(("127.0.0.1", self._port), timeout=10)
            connection.sendall(self._beginnings[number])
            self._open[number] = connection
        except OSError:
            self.refused += 1

    def _end(self, number: int) -> None:
        connection, self._open[number] = self._open[number], None
        if connection is not None:
            with suppress(OSError):
                connection.close()


def beside_slow_clients(server: KillableServer, heads: int, bodies: int, seconds: float) -> tuple[Honest, Honest, int]:
    """(what honest clients met alone, beside slow ones, how many slow ones the server had ended)."""
    honest_requests(server.port, min(2.0, seconds))
    alone = honest_requests(server.port, seconds)
    slow = SlowClients(server.port, heads, bodies)
    slow.begin()
    try:
        return alone, honest_requests(server.port, seconds), slow.ended
    finally:
        slow.end()


def memory_mb(process: int, what: str = "VmRSS") -> float:
    """What a process has in memory now (``VmHWM``: at most so far), in MB."""
    lines = Path(f"/proc/{process}/status").read_text("ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(f"{what}:")) / 1024


def sent_whole(port: int, head: bytes, pieces: Iterable[bytes]) -> int:
    """The status that a request is answered with, however much of its body the server reads; 0: none was read."""
    with socket.create_connection(("127.0.0.1", port), timeout=30) as connection:
        with suppress(OSError):
            connection.sendall(head)
            for piece in pieces:
                connection.sendall(piece)
        answer = b""
        with suppress(OSError):
            while part := connection.recv(65_536):
                answer += part
        return int(answer.split(b" ", 2)[1]) if answer else 0


class Bomb:
    """A gzip body out of which come so many MB of one block, made without ever being whole.

    The block is packed once and ends in a full flush, so that it stands for itself however often it is repeated. The
    sums at the end are not there: no reader is to come so far.
    """

    def __init__(self, block: bytes, megabytes: int) -> None:
        packer = zlib.compressobj(9, wbits=16 + zlib.MAX_WBITS)
        head = packer.flush(zlib.Z_FULL_FLUSH)
        self._times = megabytes * 1024 * 1024 // len(block)
        self._packed, self._head = packer.compress(block) + packer.flush(zlib.Z_FULL_FLUSH), head

    @property
    def length(self) -> int:
        """How many bytes it has."""
        return len(self._head) + len(self._packed) * self._times

    def pieces(self) -> Iterator[bytes]:
        """The body, some blocks at a time."""
        yield self._head
        for _ in range(self._times // 16):
            yield self._packed * 16
        yield self._packed * (self._times % 16)


def large_bodies(server: KillableServer) -> dict[str, tuple[int, float]]:
    """What each kind of very large body is answered with, and by how many MB the server grew at most."""
    hundred = 100 * 1024 * 1024
    block = b" " * (1024 * 1024)
    kinds: dict[str, tuple[bytes, Iterable[bytes]]] = {
        "100 MB declared": (HEAD + b"Content-Length: %d\r\n\r\n" % hundred, []),
        "100 MB sent": (HEAD + b"Content-Length: %d\r\n\r\n" % hundred, [block] * 100),
        "100 MB in chunks": (
            HEAD + b"Transfer-Encoding: chunked\r\n\r\n",
            [b"%x\r\n%s\r\n" % (len(block), block)] * 100 + [b"0\r\n\r\n"],
        ),
        "2 MB of brackets": (
            HEAD + b"Connection: close\r\nContent-Length: 2000000\r\n\r\n", [b"[" * 2_000_000]
        ),
        "gzip of 100 MB": _packed(HEAD, Bomb(block, 100)),
        "gzip of 1.9 GB": _packed(HEAD, Bomb(block, 1900)),
        "gzip of 10 GB": _packed(HEAD, Bomb(block, 10_240)),
        "gzip of 2 MB of brackets": _packed(HEAD, Bomb(b"[" * 1_000_000, 2)),
        "lines, gzip of 10 GB": _packed(LINES_HEAD, Bomb(block, 10_240)),
        "lines, gzip of 10 GB of blank ones": _packed(LINES_HEAD, Bomb(b"\n" * len(block), 10_240)),
        "lines, gzip of 10 GB of brackets": _packed(LINES_HEAD, Bomb(b"[" * 1_000_000 + b"\n", 10_240)),
    }  # fmt: skip
    found = {}
    for name, (head, pieces) in kinds.items():
        before = memory_mb(server.process_id, "VmHWM")
        status = sent_whole(server.port, head, pieces)
        found[name] = (status, memory_mb(server.process_id, "VmHWM") - before)
    return found


def _packed(head: bytes, bomb: Bomb) -> tuple[bytes, Iterable[bytes]]:
    said = b"Content-Encoding: gzip\r\nConnection: close\r\nContent-Length: %d\r\n\r\n" % bomb.length
    return head + said, bomb.pieces()


def memory_over(
    server: KillableServer, requests: int, samples: int = 10, going_on: Callable[[str], None] = lambda told: None
) -> list[float]:
    """The server's memory in MB after each tenth of so many requests of many kinds, good and bad, stored ones too."""
    body = json.dumps(request()).encode()
    json_type = {"Content-Type": "application/json"}
    turns: list[tuple[str, str, bytes | None, dict[str, str]]] = [
        ("POST", "/v1/plans?store=false", body, json_type),
        ("GET", "/v1/closures?limit=50", None, {}),
        ("POST", "/v1/fit-checks", body, json_type),
        ("POST", "/v1/plans", body[:-1], json_type),
        ("GET", "/v1/plans/0123", None, {}),
        ("POST", "/v1/plans", json.dumps({**request(), "unknown": 1}).encode(), json_type),
        ("GET", "/v1/plans?cursor=aaaa", None, {}),
    ]
    taken: list[float] = []
    done = threading.Semaphore(0)

    def ask(first: int) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        for number in range(first, requests, HONEST):
            method, path, sent, headers = turns[number % len(turns)]
            if number % 50 == 0:
                path, headers = "/v1/plans", {**headers, "Idempotency-Key": f"memory-{number}"}
                method, sent = "POST", body
                headers = {**headers, **json_type}
            connection.request(method, path, sent, headers)
            connection.getresponse().read()
            done.release()
        connection.close()

    clients = [threading.Thread(target=ask, args=(first,), daemon=True) for first in range(HONEST)]
    for client in clients:
        client.start()
    for number in range(1, requests + 1):
        assert done.acquire(timeout=120), "no answer came for two minutes"
        going_on(f"{number} requests")
        if number % max(1, requests // samples) == 0:
            taken.append(round(memory_mb(server.process_id), 1))
    return taken
