"""``serve`` with a rate: what several processes let pass together, and what is refused at the start."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from tests.api.live_server import free_port
from tests.cli.command_line import environment, refusal, run
from tests.redis_server import REDIS, redis_or_skip


@pytest.mark.parametrize(
    ("settings", "why"),
    [
        ({"WORKERS": "2"}, "TRAYWRIGHT_RATE_LIMIT: several processes count in Redis"),
        ({"RATE_STORE": "memcached://127.0.0.1"}, "TRAYWRIGHT_RATE_STORE: This is no address of a Redis server"),
    ],
)
def test_a_rate_that_could_not_be_kept_is_refused(tmp_path: Path, settings: dict[str, str], why: str) -> None:
    """Two processes that count apart would let pass twice what was set; both are told before anything is served."""
    given = {"RATE_LIMIT": "600/60", **settings}
    done = subprocess.run(
        [sys.executable, "-m", "service", "serve", "--database", "build.db"],
        cwd=tmp_path,
        env={**environment(), **{f"TRAYWRIGHT_{name}": value for name, value in given.items()}},
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert refusal(done).startswith(why)


def test_two_processes_let_pass_together_what_was_set(tmp_path: Path) -> None:
    """Of forty requests with one token thirty are answered, whichever of two processes had them."""
    redis_or_skip()
    made = run(tmp_path, "tokens", "add", "--name", "Crew", "--scope", "read", "--database", "build.db")
    token = next(word for word in made.stdout.decode().split() if word.startswith("tw_"))
    port = free_port()
    settings = {"TRAYWRIGHT_RATE_LIMIT": "30/3600", "TRAYWRIGHT_RATE_STORE": REDIS, "TRAYWRIGHT_TAKEOFF_WORKERS": "0"}
    command = [sys.executable, "-m", "service", "serve", "--database", "build.db", "--workers", "2"]
    with open(tmp_path / "err.txt", "wb") as err:
        server = subprocess.Popen(
            [*command, "--port", str(port)],
            cwd=tmp_path,
            env={**environment(), **settings},
            stdout=subprocess.DEVNULL,
            stderr=err,
            start_new_session=True,
        )
    try:
        until = time.monotonic() + 30
        while status(port, "/readyz", token) != 200:
            assert server.poll() is None and time.monotonic() < until, (tmp_path / "err.txt").read_text("utf-8")
            time.sleep(0.1)
        statuses = [status(port, "/v1/plans", token) for _ in range(40)]
        assert statuses == [200] * 30 + [429] * 10
    finally:
        server.send_signal(signal.SIGTERM)
        try:
            server.wait(timeout=30)
        finally:
            server.kill()


def status(port: int, path: str, token: str) -> int:
    """What a request on a connection of its own is answered with; 0: with nothing."""
    asked = urllib.request.Request(f"http://127.0.0.1:{port}{path}", headers={"Authorization": f"Bearer {token}"})
    try:
        with urllib.request.urlopen(asked, timeout=10) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code
    except OSError:
        return 0
