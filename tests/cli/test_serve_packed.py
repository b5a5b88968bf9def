"""Packed bodies at the servers themselves: the one of one process, and the one of several."""

from __future__ import annotations

import gzip
import http.client
import json
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.api.live_server import free_port
from tests.cli.command_line import DEMO, environment, run

Answer = tuple[int, dict[str, object]]


@pytest.fixture(params=["1", "2"], ids=["one process", "two processes"])
def port(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[int]:
    """The port of a server with the demo's catalogue."""
    assert run(tmp_path, "load", str(DEMO / "catalogue.json"), "--database", "build.db").returncode == 0
    port = free_port()
    command = [sys.executable, "-m", "service", "serve", "--database", "build.db", "--workers", request.param]
    server = subprocess.Popen(
        [*command, "--port", str(port), "--takeoff-workers", "0"],
        cwd=tmp_path,
        env={**environment(), "TRAYWRIGHT_TAKEOFF_LIMIT": "10000000"},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    try:
        until = time.monotonic() + 30
        while not is_ready(port):
            assert server.poll() is None and time.monotonic() < until
            time.sleep(0.1)
        yield port
    finally:
        server.send_signal(signal.SIGTERM)
        try:
            server.wait(timeout=30)
        finally:
            server.kill()


def is_ready(port: int) -> bool:
    """Whether the server answers."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    try:
        connection.request("GET", "/readyz")
        return connection.getresponse().status == 200
    except OSError:
        return False
    finally:
        connection.close()


def sent(port: int, path: str, body: bytes, media_type: str) -> Answer:
    """What a packed body is answered with."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        connection.request("POST", path, body, {"Content-Type": media_type, "Content-Encoding": "gzip"})
        response = connection.getresponse()
        return response.status, json.loads(response.read())
    finally:
        connection.close()


def test_a_body_in_chunks_has_the_limit_of_others(port: int) -> None:
    """Whose length nobody has told: one that ends within the limit is read, and what goes on beyond it is 413."""
    point = (DEMO / "splice-points.ndjson").read_bytes().splitlines()[0]
    for pieces, status in (([point[:9], point[9:]], 200), ([point, *[b" " * 65_536] * 40], 413)):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        try:
            headers = {"Content-Type": "application/json", "Transfer-Encoding": "chunked"}
            connection.request("POST", "/v1/plans?store=false", iter(pieces), headers, encode_chunked=True)
            assert connection.getresponse().status == status
        finally:
            connection.close()


def test_a_packed_build_is_received_and_a_bomb_is_not(port: int) -> None:
    """The demo's build whole, a plan, half a packed build not at all, and 11 MB out of 11 kB are 413."""
    lines = (DEMO / "splice-points.ndjson").read_bytes()
    packed = gzip.compress(lines)
    status, takeoff = sent(port, "/v1/takeoffs", packed, "application/x-ndjson")
    assert (status, takeoff["points"]["total"]) == (202, len(lines.splitlines()))  # type: ignore[index]
    point = gzip.compress(lines.splitlines()[0])
    assert sent(port, "/v1/plans?store=false", point, "application/json")[0] == 200
    status, problem = sent(port, "/v1/takeoffs", packed[:-9], "application/x-ndjson")
    assert (status, problem["type"]) == (400, "/problems/badly-packed")
    bomb = gzip.compress(b" " * 11_000_000, 9)
    assert len(bomb) < 12_000
    for path, media_type in (("/v1/takeoffs", "application/x-ndjson"), ("/v1/plans", "application/json")):
        assert sent(port, path, bomb, media_type)[0] == 413
