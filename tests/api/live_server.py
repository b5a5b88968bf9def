"""The embedded server on a free port, in a thread."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager

from flask import Flask
from waitress import wasyncore

from service.api.serving import embedded_server
from service.settings import Settings


def free_port() -> int:
    """A port that nobody listens on just now."""
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextmanager
def served(app: Flask, settings: Settings) -> Iterator[None]:
    """Serve the application from a thread as long as the block runs."""
    server = embedded_server(app, settings)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield
    finally:
        # In the server's own thread: with its last socket closed, its loop ends.
        server.trigger.pull_trigger(lambda: wasyncore.close_all(server._map, ignore_all=True))
        thread.join(10)
        assert not thread.is_alive()
        server.task_dispatcher.shutdown()


def exchange(port: int, request: bytes, timeout: float = 10) -> bytes:
    """Send bytes, and read until the server closes or falls silent."""
    with closing(socket.create_connection(("127.0.0.1", port), timeout=timeout)) as connection:
        connection.sendall(request)
        answer = b""
        while part := connection.recv(65_536):
            answer += part
        return answer
