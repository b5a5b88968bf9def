"""The embedded server in a process of its own, which is killed and begun again in a fraction of a second."""

from __future__ import annotations

import http.client
import multiprocessing
import time
from dataclasses import replace
from multiprocessing.process import BaseProcess

from service.settings import Settings
from tests.api.live_server import free_port

# Forked from a process that has no connection, thread or database: it begins quickly, and clean.
_context = multiprocessing.get_context("forkserver")
# ``forms`` is what every server would import anew where ``long`` is the program that runs.
_context.set_forkserver_preload(["tests.faults.loaded", "tests.faults.forms"])


def serve(settings: Settings) -> None:
    """Serve until killed."""
    from service.api.serving import serve_embedded
    from service.app import create_app

    serve_embedded(create_app(settings), settings)


class KillableServer:
    """A server of a database at ``port``; ``kills`` counts how often it was killed."""

    def __init__(self, settings: Settings) -> None:
        self.port = free_port()
        self.kills = 0
        self._settings = replace(settings, port=self.port)
        self._process: BaseProcess | None = None

    @property
    def process_id(self) -> int:
        """The process that serves."""
        assert self._process is not None and self._process.pid is not None
        return self._process.pid

    def start(self) -> None:
        """Begin to serve; clients try until it answers."""
        self._process = _context.Process(target=serve, args=(self._settings,), daemon=True)
        self._process.start()

    def kill(self) -> None:
        """Kill the process with no warning."""
        assert self._process is not None
        self._process.kill()
        self._process.join()
        self.kills += 1

    def awaited(self, within_s: float = 60) -> None:
        """Return when it answers; AssertionError where it does not in time or has ended."""
        last = time.monotonic() + within_s
        while time.monotonic() < last:
            assert self._process is not None and self._process.is_alive(), "the server ended by itself"
            try:
                connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
                connection.request("GET", "/healthz")
                if connection.getresponse().status == 200:
                    return
            except OSError:
                time.sleep(0.05)
            finally:
                connection.close()
        raise AssertionError("the server does not answer")
