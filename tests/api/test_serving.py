"""The servers: what reaches the application, what does not, and slow clients."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import flask
import pytest
from flask import Flask

from service.api.serving import embedded_server
from service.app import create_app
from service.settings import Settings, environment_of
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.live_server import exchange, free_port, served

LIMIT = 10_000


@pytest.fixture
def port(store: Store, filled: HeldClient) -> Iterator[int]:
    """The port of a running server with the small catalogue and a body limit of 10,000 bytes."""
    settings = Settings(port=free_port(), body_limit=LIMIT)
    with served(create_app(settings, store), settings):
        yield settings.port


def problem_in(answer: bytes) -> dict[str, Any]:
    """The problem document in the bytes of an answer."""
    head, _, body = answer.partition(b"\r\n\r\n")
    assert b"content-type: application/problem+json" in head.lower()
    assert b"x-request-id: " in head.lower()
    assert b"x-content-type-options: nosniff" in head.lower()
    problem: dict[str, Any] = json.loads(body)
    assert problem["type"].startswith("/problems/")
    return problem


def chunked(body: bytes) -> bytes:
    """A request to plan whose body comes in chunks."""
    head = b"POST /v1/plans?store=false HTTP/1.1\r\nHost: h\r\nConnection: close\r\nContent-Type: application/json\r\n"
    chunks = b"".join(
        b"%x\r\n%s\r\n" % (len(body[at : at + 500]), body[at : at + 500]) for at in range(0, len(body), 500)
    )
    return head + b"Transfer-Encoding: chunked\r\n\r\n" + chunks + b"0\r\n\r\n"


def test_a_plan_comes_over_the_wire(port: int, handhole: dict[str, Any]) -> None:
    """Body in one piece or in chunks, the answer is the same."""
    body = json.dumps(handhole).encode()
    sent = urllib.request.Request(
        f"http://127.0.0.1:{port}/v1/plans?store=false", body, {"Content-Type": "application/json"}, method="POST"
    )
    with urllib.request.urlopen(sent, timeout=10) as response:
        whole = response.read()
    assert json.loads(whole)["splices"] == 24
    assert exchange(port, chunked(body)).endswith(whole)


def test_a_body_over_the_limit_is_refused_in_one_piece_and_in_chunks(port: int) -> None:
    """413 as a problem document; a declared length is believed before the body is read."""
    declared = (
        b"POST /v1/plans HTTP/1.1\r\nHost: h\r\nContent-Type: application/json\r\nContent-Length: 99999999999\r\n\r\n"
    )
    for request in (declared, chunked(b" " * (LIMIT + 2))):
        assert problem_in(exchange(port, request))["status"] == 413


@pytest.mark.parametrize(
    ("request_line", "status"),
    [
        (b"GET / HTTP/1.1\r\nHost h\r\n\r\n", 400),
        (b"POST /v1/plans HTTP/1.1\r\nContent-Length: x\r\n\r\n", 400),
        (b"POST /v1/plans HTTP/1.1\r\nTransfer-Encoding: gzip\r\n\r\n", 501),
        # As many bytes as are read, and none after them: unread ones would have the answer thrown away.
        (b"GET / HTTP/1.1\r\nA: " + b"a" * (64 * 1024 - 19), 431),
    ],
)
def test_what_never_reaches_the_application_is_a_problem_too(port: int, request_line: bytes, status: int) -> None:
    """What the server itself refuses looks like every other error."""
    assert problem_in(exchange(port, request_line))["status"] == status


@pytest.mark.parametrize("version", [b"1.0", b"1.1"])
def test_a_body_with_two_lengths_is_refused_and_nothing_after_it_is_read(port: int, version: bytes) -> None:
    """A proxy may go by one and this server by the other; the rest would be taken for another person's request."""
    two = b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n"
    head = b"POST /v1/plans HTTP/" + version + b"\r\nHost: h\r\nContent-Type: application/json\r\n"
    answer = exchange(port, head + two + b"GET /healthz HTTP/1.1\r\nHost: h\r\n\r\n")
    assert answer.count(b"HTTP/1.") == 1
    assert problem_in(answer)["status"] == 400


def test_the_application_sees_that_a_proxy_passed_something_on() -> None:
    """By that it knows a stranger from a program on this machine, whom alone the figures are open to."""
    seen, settings = Flask(__name__), Settings(port=free_port())
    seen.add_url_rule("/", view_func=lambda: f"told {flask.request.headers.get('X-Forwarded-For')}")
    with served(seen, settings):
        request = b"GET / HTTP/1.1\r\nHost: h\r\nConnection: close\r\nX-Forwarded-For: 192.0.2.7\r\n\r\n"
        assert exchange(settings.port, request).endswith(b"told 192.0.2.7")


@pytest.mark.parametrize("body", [b'{"name": "Quay"}', b"zz", b"5 5\r\n", b"1;" + b"a" * 2_000])
def test_a_body_that_is_not_in_chunks_as_it_says_is_refused_at_once(port: int, body: bytes) -> None:
    """Nobody waits for the end of a line that cannot be the head of a chunk."""
    head = b"POST /v1/plans HTTP/1.1\r\nHost: h\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    start = time.monotonic()
    assert problem_in(exchange(port, head + body))["status"] == 400
    assert time.monotonic() - start < 5


def test_chunks_that_come_byte_by_byte_are_taken(port: int, handhole: dict[str, Any]) -> None:
    """A chunk's head may come in pieces, with an extension, in either case."""
    body = json.dumps(handhole).encode()
    head, chunks = chunked(body).split(b"\r\n\r\n", 1)
    size = b"%X;part=1" % 500
    assert chunks.startswith(b"1f4\r\n")
    with socket.create_connection(("127.0.0.1", port), timeout=10) as connection:
        connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        connection.sendall(head + b"\r\n\r\n")
        for byte in size + b"\r\n":
            connection.sendall(bytes([byte]))
            time.sleep(0.005)
        connection.sendall(chunks[5:])
        answer = b""
        while part := connection.recv(65_536):
            answer += part
    assert answer.startswith(b"HTTP/1.1 200 ")


@pytest.mark.parametrize("path", [b"//v1/closures", b"///v1/closures", b"//evil.example/v1/closures"])
def test_an_address_begins_with_one_slash(port: int, path: bytes) -> None:
    """Two slashes are another address, which is not served as the one with one slash."""
    answer = exchange(port, b"GET %s HTTP/1.1\r\nHost: h\r\nConnection: close\r\n\r\n" % path)
    assert problem_in(answer)["status"] == 400


def test_a_request_that_comes_drop_by_drop_is_ended(store: Store, filled: HeldClient) -> None:
    """Head or body, a byte now and then keeps nothing open beyond the time that a request has: 408, and the end."""
    settings = Settings(port=free_port(), request_s=1)
    head = b"POST /v1/plans HTTP/1.1\r\nHost: h\r\nContent-Type: application/json\r\n"
    with served(create_app(settings, store), settings):
        for beginning in (head + b"X-Slow: ", head + b"Content-Length: 500\r\n\r\n"):
            with socket.create_connection(("127.0.0.1", settings.port), timeout=10) as connection:
                connection.sendall(beginning)
                connection.settimeout(0.2)
                answer, start = b"", time.monotonic()
                while not answer and time.monotonic() - start < 8:
                    connection.sendall(b"a")
                    with suppress(TimeoutError):
                        answer = connection.recv(65_536)
                assert answer.startswith(b"HTTP/1.") and b" 408 " in answer[:14]
                connection.settimeout(5)
                while part := connection.recv(65_536):
                    answer += part
                assert problem_in(answer)["type"] == "/problems/too-slow"


def test_slow_clients_hold_nobody_up(port: int) -> None:
    """150 connections that send half a request, in head or body, and stop: others are served at once."""
    slow = []
    for number in range(150):
        connection = socket.create_connection(("127.0.0.1", port), timeout=10)
        head = b"POST /v1/plans HTTP/1.1\r\nHost: h\r\nContent-Type: application/json\r\n"
        connection.sendall(head if number % 2 else head + b'Content-Length: 500\r\n\r\n{"name": "')
        slow.append(connection)
    start = time.monotonic()
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=10) as response:
        assert response.status == 200
    assert time.monotonic() - start < 5
    for connection in slow:
        connection.close()


def test_the_server_listens_on_the_loopback_address_alone(app: Flask) -> None:
    """Unless told otherwise, no other host can reach it."""
    server = embedded_server(app, Settings(port=free_port()))
    try:
        assert server.socket.getsockname()[0] == "127.0.0.1"
    finally:
        server.close()


def test_several_processes_serve_one_database(tmp_path: Path, store: Store, filled: HeldClient) -> None:
    """Two worker processes with the settings of their environment; one signal ends them all."""
    settings = Settings(database=f"sqlite:///{tmp_path}/store.db", port=free_port(), workers=2)
    command = "import os\nfrom service.api.serving import serve_workers\nfrom service.settings import settings_from\n"
    server = subprocess.Popen(
        [sys.executable, "-c", command + "serve_workers(settings_from(os.environ))"],
        env={**os.environ, **environment_of(settings)},
        cwd=Path(__file__).resolve().parents[2],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        assert _answered(f"http://127.0.0.1:{settings.port}/readyz") == b'{"status":"ready"}'
        assert b"ribbon-12" in _answered(f"http://127.0.0.1:{settings.port}/v1/trays")
    finally:
        server.send_signal(signal.SIGTERM)
        try:
            assert server.wait(30) in (0, -signal.SIGTERM)
        finally:
            server.kill()
            server.wait()


def _answered(url: str) -> bytes:
    """The body at an address, once the server has started."""
    end = time.monotonic() + 30
    while True:
        try:
            with urllib.request.urlopen(url, timeout=5) as response:
                body: bytes = response.read()
                return body
        except urllib.error.URLError:
            if time.monotonic() > end:
                raise
            time.sleep(0.1)


def takeoff_request(lines: int, point: dict[str, Any], path: str = "/v1/takeoffs") -> bytes:
    """A request that sends a takeoff of so many equal lines."""
    body = b"\n".join([json.dumps(point).encode()] * lines)
    head = f"POST {path} HTTP/1.1\r\nHost: h\r\nConnection: close\r\nContent-Type: application/x-ndjson\r\n"
    return head.encode() + b"Content-Length: %d\r\n\r\n%s" % (len(body), body)


def test_a_takeoff_may_be_larger_than_any_other_body(port: int, handhole: dict[str, Any]) -> None:
    """A megabyte of lines comes through where other bodies may have ten thousand bytes; elsewhere it does not."""
    request = takeoff_request(1000, handhole)
    assert len(request) > 50 * LIMIT
    answer = exchange(port, request)
    assert answer.startswith(b"HTTP/1.1 202 ")
    assert json.loads(answer.partition(b"\r\n\r\n")[2])["points"]["total"] == 1000
    # The head alone: the server answers it and reads no further.
    head = takeoff_request(1000, handhole, "/v1/plans").partition(b"\r\n\r\n")[0] + b"\r\n\r\n"
    assert exchange(port, head).startswith(b"HTTP/1.1 413 ")


def test_a_line_may_be_no_larger_than_a_single_request(port: int, handhole: dict[str, Any]) -> None:
    """It is listed as faulty, and the others are taken."""
    long = {**handhole, "name": "x" * (LIMIT + 1)}
    body = b"\n".join(json.dumps(point).encode() for point in (handhole, long, handhole))
    head = b"POST /v1/takeoffs HTTP/1.1\r\nHost: h\r\nConnection: close\r\nContent-Type: application/x-ndjson\r\n"
    answer = exchange(port, head + b"Content-Length: %d\r\n\r\n%s" % (len(body), body))
    told = json.loads(answer.partition(b"\r\n\r\n")[2])
    assert [(each["line"], each["faults"][0]["code"]) for each in told["faulty"]] == [(2, "too_long")]
