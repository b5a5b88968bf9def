"""The servers: one process with waitress (the default), or several with granian."""

from __future__ import annotations

import gc
import os
import resource
import signal
import socket
import uuid
from collections.abc import Callable, MutableMapping
from typing import Any

import orjson
from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer, create_server
from waitress.task import ErrorTask

from service.api.body_limits import parser_with
from service.api.gate import HEADERS
from service.api.problem_kinds import KINDS
from service.api.problems import Problem
from service.logs import server_log
from service.settings import Settings, environment_of

FACTORY = "service.app:app_from_environment"
_IDLE_S = 60
_IN_MEMORY = 128 * 1024
_OTHER_FILES = 256
_KILL_S = 10
_YOUNG_OBJECTS = 50_000
_UNREAD = (
    [(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, 1000 * _IDLE_S)] if hasattr(socket, "TCP_USER_TIMEOUT") else []
)
"""A reader who takes nothing for so long is cut off (Linux): its answer would hold a thread for ever."""

_SLUGS = {408: "too-slow", 413: "too-large", 500: "internal"}


class _ProblemTask(ErrorTask):  # type: ignore[misc]
    """What waitress refuses before the application sees it, told as a problem document like everything else."""

    def execute(self) -> None:
        status = self.request.error.code
        slug = _SLUGS.get(status, "bad-request")
        problem = Problem(slug, KINDS[slug].explanation, status=status)
        request_id = uuid.uuid4().hex
        body = orjson.dumps(problem.document(f"#request-{request_id}"))
        self.status = f"{status} {self.request.error.reason}"
        self.response_headers.extend(HEADERS.items())
        self.response_headers.append(("Cache-Control", "no-store"))
        self.response_headers.append(("Content-Type", "application/problem+json"))
        self.response_headers.append(("X-Request-ID", request_id))
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)


class _Channel(HTTPChannel):  # type: ignore[misc]
    error_task_class = _ProblemTask


def embedded_server(app: Callable[..., Any], settings: Settings) -> Any:
    """The server for one process, listening but not yet running: ``run()`` serves until it is interrupted.

    Slow clients hold a connection, not a thread, and that for a bounded time: bodies are read before the application
    is called, and what is larger than ``_IN_MEMORY`` waits in a file.
    """
    _allow_files(2 * settings.connections + _OTHER_FILES)
    sockets: MutableMapping[int, Any] = {}
    server = create_server(
        app,
        map=sockets,
        listen=" ".join(f"{_bracketed(host)}:{settings.port}" for host in settings.hosts),
        threads=settings.threads,
        connection_limit=settings.connections,
        # A selection by number ends at 1,023 open files.
        asyncore_use_poll=True,
        inbuf_overflow=_IN_MEMORY,
        max_request_header_size=settings.header_limit,
        channel_timeout=_IDLE_S,
        max_request_body_size=settings.body_limit + 1,
        # That something was passed on has to be seen: it is how a proxy on this machine is told from a program on it.
        clear_untrusted_proxy_headers=False,
        ident=None,
        expose_tracebacks=False,
    )
    channel_class = type("Channel", (_Channel,), {"parser_class": parser_with(settings)})
    for listening in sockets.values():
        if isinstance(listening, TcpWSGIServer):
            listening.channel_class = channel_class
            listening.adj.socket_options = [*Adjustments.socket_options, *_UNREAD]
    return server


def _allow_files(wanted: int) -> None:
    """Let the process open so many files and connections, as far as the operating system lets it."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    most = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    if soft != resource.RLIM_INFINITY and soft < most:
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))


def _bracketed(host: str) -> str:
    return f"[{host}]" if ":" in host else host


def settle() -> None:
    """Set the garbage collector to how a server lives: what was made at the start stays, requests leave no cycles.

    A plan makes some thousands of objects and they go with it; looking for cycles after every 700 is work for nothing.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(_YOUNG_OBJECTS, 10, 10)


def serve_embedded(app: Callable[..., Any], settings: Settings) -> None:
    """Serve from this process until it is interrupted."""
    settle()
    embedded_server(app, settings).run()


def serve_workers(settings: Settings) -> None:
    """Serve from ``settings.workers`` processes until interrupted; each opens the database for itself.

    The settings reach the workers by their environment. The proxy in front is to buffer request bodies.
    """
    from granian import Granian  # imported when needed: only the server with several processes has use for it
    from granian.constants import Interfaces

    os.environ.update(environment_of(settings))
    os.register_at_fork(after_in_child=_begin_as_worker)
    Granian(
        FACTORY,
        address=settings.hosts[0],
        port=settings.port,
        interface=Interfaces.WSGI,
        workers=settings.workers,
        blocking_threads=settings.threads,
        factory=True,
        websockets=False,
        respawn_failed_workers=True,
        workers_kill_timeout=_KILL_S,
        log_dictconfig=server_log(),
    ).serve()


def _begin_as_worker() -> None:
    """Have a worker end when its parent tells it to, once, also while it is still beginning.

    A forked worker would begin with its parent's handlers, which only note down that the parent is to end: told so
    early it would not end. And Ctrl-C reaches every process of the terminal: a worker that is interrupted and then
    told to end can lock itself out of its own event and be killed after ``_KILL_S``. So interrupts are the parent's.
    """
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
