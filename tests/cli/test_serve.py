"""``serve``: where it listens, what it answers, how it ends."""

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
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.cli.command_line import POINTS, environment, refusal, run

TRAYS = 'traywright_requests_total{operation="listTrays",status="200"}'


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextmanager
def _serving(folder: Path, *arguments: str) -> Iterator[tuple[subprocess.Popen[bytes], str]]:
    """The running command and its address, once it is ready; killed at the end where it has not ended.

    What it prints goes to files: a pipe that nobody reads would stop it.
    """
    port = _free_port()
    command = [sys.executable, "-m", "service", *arguments, "--port", str(port)]
    with open(folder / "out.txt", "wb") as out, open(folder / "err.txt", "wb") as err:
        process = subprocess.Popen(
            command, cwd=folder, env=environment(), stdout=out, stderr=err, start_new_session=True
        )
    try:
        address = f"http://127.0.0.1:{port}"
        for _ in range(300):
            try:
                urllib.request.urlopen(f"{address}/readyz", timeout=2).close()
                break
            except (urllib.error.URLError, ConnectionError):
                assert process.poll() is None, (folder / "err.txt").read_text("utf-8")
                time.sleep(0.1)
        yield process, address
    finally:
        if process.poll() is None:
            process.kill()
            process.wait()


@pytest.mark.parametrize("host", ["0.0.0.0", "192.0.2.7", "::", "planner.example"])
def test_only_loopback_addresses_are_served(tmp_path: Path, host: str) -> None:
    """Without access tokens every other address is refused, before any database is made."""
    assert refusal(run(tmp_path, "serve", "--host", host)).startswith(f"--host {host}: ")
    assert refusal(run(tmp_path, "demo", "--serve", "--host", host)).startswith(f"--host {host}: ")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("workers", "ending"), [("1", signal.SIGINT), ("1", signal.SIGTERM), ("2", signal.SIGINT)])
def test_the_server_answers_and_ends_without_a_word(tmp_path: Path, workers: str, ending: signal.Signals) -> None:
    """A new database is made, an empty catalogue is served, and Ctrl-C or a stop ends it without a traceback."""
    with _serving(tmp_path, "serve", "--database", "build.db", "--workers", workers) as (process, address):
        with urllib.request.urlopen(f"{address}/v1/closures", timeout=10) as answer:
            assert json.load(answer)["items"] == []
        process.send_signal(ending)
        assert process.wait(timeout=30) in (0, 130)
    output = (tmp_path / "out.txt").read_text("utf-8")
    assert output.startswith(f"Serving on {address} ")
    logged = (tmp_path / "err.txt").read_text("utf-8")
    assert "Traceback" not in output + logged
    assert "answered" in {json.loads(line)["message"] for line in logged.splitlines()}


@pytest.mark.parametrize("ready", [True, False], ids=["at work", "just begun"])
def test_several_workers_end_at_once_when_the_terminal_interrupts_them(tmp_path: Path, ready: bool) -> None:
    """Ctrl-C reaches the server and every worker of the terminal: none of them waits to be killed after ten seconds."""
    arguments = ("serve", "--database", "build.db", "--workers", "2", "--takeoff-workers", "1")
    with _serving(tmp_path, *arguments) as (process, address):
        if ready:
            time.sleep(1)
            urllib.request.urlopen(f"{address}/v1/closures", timeout=10).close()
        os.killpg(process.pid, signal.SIGINT)
        assert process.wait(timeout=8) in (0, 130)
    assert "Killing" not in (tmp_path / "err.txt").read_text("utf-8") + (tmp_path / "out.txt").read_text("utf-8")


def test_the_environment_says_where_the_server_listens(tmp_path: Path) -> None:
    """What the environment says is refused, or found taken, like what the command line says."""
    command = [sys.executable, "-m", "service", "serve", "--database", "build.db"]
    given = {**environment(), "TRAYWRIGHT_HOSTS": "127.0.0.1,192.0.2.7"}
    done = subprocess.run(command, cwd=tmp_path, env=given, capture_output=True, timeout=60, check=False)
    assert refusal(done).startswith("--host 192.0.2.7: ")
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        given = {**environment(), "TRAYWRIGHT_PORT": str(taken.getsockname()[1])}
        done = subprocess.run(command, cwd=tmp_path, env=given, capture_output=True, timeout=60, check=False)
    assert done.stderr.decode().splitlines()[-1].startswith(f"traywright: 127.0.0.1:{given['TRAYWRIGHT_PORT']}: ")


def test_the_demo_keeps_serving_what_it_planned(tmp_path: Path) -> None:
    """``demo --serve`` serves its forty plans and takes another one."""
    with _serving(tmp_path, "demo", "--serve") as (process, address):
        with urllib.request.urlopen(f"{address}/v1/plans?fits=false", timeout=10) as answer:
            assert len(json.load(answer)["items"]) == 8
        headers = {"Content-Type": "application/json", "Idempotency-Key": "once"}
        request = urllib.request.Request(f"{address}/v1/plans", POINTS[0], headers)
        with urllib.request.urlopen(request, timeout=10) as answer:
            assert (answer.status, json.load(answer)["closure"]["code"]) == (201, "hand-2")
        process.send_signal(signal.SIGINT)
        process.wait(timeout=30)
    recomputed = run(tmp_path, "recompute", "--database", "demo.sqlite3")
    assert recomputed.stdout == b"41 the same byte for byte, 0 different\n"


def test_metrics_are_the_sum_of_all_processes_also_after_a_reload(tmp_path: Path) -> None:
    """Whichever of two processes is asked, every request that was answered is counted; a reload loses neither.

    On SIGHUP the processes are replaced one by one, and each request in the meantime is answered.
    """
    arguments = ("serve", "--database", "build.db", "--workers", "2", "--takeoff-workers", "0")
    with _serving(tmp_path, *arguments) as (process, address):
        asked = 0

        def ask(times: int) -> None:
            nonlocal asked
            for _ in range(times):
                urllib.request.urlopen(f"{address}/v1/trays", timeout=10).close()
                asked += 1

        def counted() -> set[str]:
            told = [urllib.request.urlopen(f"{address}/metrics", timeout=10).read().decode() for _ in range(6)]
            return {line for text in told for line in text.splitlines() if line.startswith(TRAYS)}

        ask(20)
        assert counted() == {f"{TRAYS} {asked}.0"}
        process.send_signal(signal.SIGHUP)
        until = time.monotonic() + 60
        while (tmp_path / "err.txt").read_text("utf-8").count("Stopped old worker") < 2:
            assert time.monotonic() < until
            ask(1)
            time.sleep(0.05)
        assert counted() == {f"{TRAYS} {asked}.0"}
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=30) in (0, 130)


def test_what_was_asked_before_the_stop_is_answered(tmp_path: Path) -> None:
    """A request that the server is at when it is told to end gets its whole answer, and then the server ends."""
    code = """
import sys, time
from service.api.serving import serve_embedded
from service.cli.serve import _end
from service.settings import Settings
import signal
signal.signal(signal.SIGTERM, _end)
def slow(environ, start):
    print("at it", flush=True)
    time.sleep(1)
    start("200 OK", [("Content-Length", "8")])
    return [b"answered"]
serve_embedded(slow, Settings(port=int(sys.argv[1])))
"""
    port = _free_port()
    command = [sys.executable, "-c", code, str(port)]
    with subprocess.Popen(command, env=environment(), stdout=subprocess.PIPE) as process:
        until = time.monotonic() + 30
        while True:
            try:
                client = socket.create_connection(("127.0.0.1", port), timeout=20)
                break
            except ConnectionError:
                assert time.monotonic() < until
                time.sleep(0.1)
        with client:
            client.sendall(b"GET / HTTP/1.1\r\nHost: h\r\nConnection: close\r\n\r\n")
            assert process.stdout is not None
            assert process.stdout.readline() == b"at it\n"
            process.send_signal(signal.SIGTERM)
            answer = b"".join(iter(lambda: client.recv(1000), b""))
        assert answer.endswith(b"\r\n\r\nanswered")
        assert process.wait(timeout=30) == 0


def test_a_port_in_use_is_one_line(tmp_path: Path) -> None:
    """Where another program has the port, the command says so and ends with exit code 2."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        done = run(tmp_path, "serve", "--database", "build.db", "--port", port)
    assert done.returncode == 2
    assert done.stderr.decode().splitlines()[-1].startswith(f"traywright: 127.0.0.1:{port}: ")
