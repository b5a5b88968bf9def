"""A receiver of webhooks on the loopback address: a real server in a thread, which can be made to behave badly."""

from __future__ import annotations

import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


@dataclass(frozen=True, slots=True)
class Received:
    """One request as it came; header names are in small letters."""

    path: str
    headers: dict[str, str]
    body: bytes


Behave = Callable[[BaseHTTPRequestHandler], None]


def answers(status: int, **headers: str) -> Behave:
    """Answer with a status, and headers (an underscore stands for a dash)."""

    def behave(handler: BaseHTTPRequestHandler) -> None:
        handler.send_response(status)
        for name, value in headers.items():
            handler.send_header(name.replace("_", "-"), value)
        handler.send_header("Content-Length", "0")
        handler.end_headers()

    return behave


def drips(handler: BaseHTTPRequestHandler) -> None:
    """Answer a byte at a time, without end."""
    with suppress(OSError):
        handler.wfile.write(b"HTTP/1.1 200 OK\r\nX-Slow: ")
        for _ in range(600):
            handler.wfile.write(b"a")
            handler.wfile.flush()
            time.sleep(0.05)


def never_ends(handler: BaseHTTPRequestHandler) -> None:
    """Answer 200, and a body that goes on for as long as anybody reads."""
    with suppress(OSError):
        handler.wfile.write(b"HTTP/1.1 200 OK\r\nContent-Length: 100000000000\r\n\r\n")
        while True:
            handler.wfile.write(b"x" * 65536)


def says_nothing(handler: BaseHTTPRequestHandler) -> None:
    """Take the request and close."""
    handler.close_connection = True


def garbles(handler: BaseHTTPRequestHandler) -> None:
    """Answer in no protocol at all."""
    handler.wfile.write(b"250 Mail queued\r\n\r\n")
    handler.close_connection = True


@dataclass
class Receiver:
    """What has come, and how the next requests are answered: those in ``then`` first, and then always ``behave``."""

    behave: Behave = field(default_factory=lambda: answers(204))
    then: list[Behave] = field(default_factory=list)
    received: list[Received] = field(default_factory=list)
    at_once: int = 0
    most_at_once: int = 0
    port: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def url(self) -> str:
        """Its address."""
        return f"http://127.0.0.1:{self.port}/told"

    def ids(self) -> list[str]:
        """The ids of the events that came, in the order in which they did."""
        return [each.headers["webhook-id"] for each in self.received]

    def awaits(self, count: int, within_s: float = 60) -> None:
        """Return when so many requests have come; AssertionError where they do not in time."""
        last = time.monotonic() + within_s
        while len(self.received) < count:
            assert time.monotonic() < last, f"{len(self.received)} of {count} came"
            time.sleep(0.02)


@contextmanager
def receiving(trusted: ssl.SSLContext | None = None, port: int = 0) -> Iterator[Receiver]:
    """A receiver, over TLS with a context that has its certificate."""
    receiver = Receiver()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            with receiver.lock:
                receiver.at_once += 1
                receiver.most_at_once = max(receiver.most_at_once, receiver.at_once)
                headers = {name.lower(): value for name, value in self.headers.items()}
                receiver.received.append(Received(self.path, headers, body))
                behave = receiver.then.pop(0) if receiver.then else receiver.behave
            try:
                behave(self)
            finally:
                with receiver.lock:
                    receiver.at_once -= 1

        do_GET = do_POST

        def log_message(self, *_: Any) -> None:
            """Nothing."""

    class Server(ThreadingHTTPServer):
        daemon_threads = True

        def get_request(self) -> tuple[socket.socket, Any]:
            came, address = super().get_request()
            try:
                return (came if trusted is None else trusted.wrap_socket(came, server_side=True)), address
            except OSError:
                # A client that does not trust the certificate has gone.
                came.close()
                raise

        def handle_error(self, *_: Any) -> None:
            """A client that has gone is nobody's fault here."""

    server = Server(("127.0.0.1", port), Handler)
    receiver.port = server.server_port
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield receiver
    finally:
        server.shutdown()
        server.server_close()
        thread.join(10)
