"""Kills between what happens and what is told of it: every event arrives, and whoever goes by its id sees it once."""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

from standardwebhooks.webhooks import Webhook as Verifier

from service.store import Store
from service.telling.networks import allowed_from
from service.telling.pace import Pace
from service.telling.teller import Teller
from tests.api.live_server import free_port
from tests.cli.command_line import environment
from tests.telling.receiver import Received, receiving
from tests.webhook_rows import added, placed, told

_context = multiprocessing.get_context("spawn")
_KILLS = 3
_ORDERS_A_LIFE = 6


def tell_without_end(url: str) -> None:
    """Tell until killed; a lease lasts a second, so that what a killed one was at is not waited for long."""
    with Teller(url, allowed_from("true"), Pace(first_s=0.05, growth=1), look_s=0.02, lease_s=1.0):
        time.sleep(600)


def settled(store: Store, webhook: Any, within_s: float = 90) -> None:
    """Return when nothing waits any more."""
    last = time.monotonic() + within_s
    while [each for each in told(store, webhook) if each.state == "waiting"]:
        assert time.monotonic() < last
        time.sleep(0.05)


def test_whoever_tells_is_killed_and_every_event_arrives(store: Store, url: str) -> None:
    """Killed in the midst of it three times: all arrive, signed; by their ids each event once, and one an order."""
    with receiving() as receiver:
        webhook, secret = added(store, url=receiver.url)
        answering = receiver.behave

        def slowly(handler: Any) -> None:
            time.sleep(0.05)
            answering(handler)

        receiver.behave = slowly
        orders: list[str] = []
        for life in range(1, _KILLS + 1):
            process = _context.Process(target=tell_without_end, args=(url,))
            process.start()
            orders += placed(store, _ORDERS_A_LIFE)
            receiver.awaits(life * _ORDERS_A_LIFE - 2, within_s=90)
            assert process.pid is not None
            os.kill(process.pid, signal.SIGKILL)
            process.join()
        process = _context.Process(target=tell_without_end, args=(url,))
        process.start()
        settled(store, webhook)
        process.kill()
        process.join()
        once: dict[str, Received] = {each.headers["webhook-id"]: each for each in receiver.received}
        seen = [Verifier(secret).verify(each.body, each.headers)["data"]["id"] for each in once.values()]
    assert sorted(seen) == sorted(orders)
    assert set(once) == {each.event for each in told(store, webhook)}


def asked(address: str, path: str, body: Any = None) -> dict[str, Any]:
    """The answer of the server to a POST."""
    sent = json.dumps(body or {}).encode()
    request = urllib.request.Request(f"{address}{path}", sent, {"Content-Type": "application/json"})
    with urllib.request.urlopen(request, timeout=30) as answer:
        found: dict[str, Any] = json.load(answer)
        return found


def serving(folder: Path, port: int) -> subprocess.Popen[bytes]:
    """The server as it is begun by a person, ready; it may tell receivers on this machine."""
    command = [sys.executable, "-m", "service", "serve", "--database", "build.db", "--port", str(port)]
    given = {**environment(), "TRAYWRIGHT_WEBHOOK_PRIVATE": "127.0.0.0/8", "TRAYWRIGHT_TAKEOFF_WORKERS": "0"}
    with open(folder / "said.txt", "ab") as said:
        process = subprocess.Popen([*command], cwd=folder, env=given, stdout=said, stderr=said)
    for _ in range(600):
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/readyz", timeout=2).close()
            return process
        except (urllib.error.URLError, ConnectionError):
            assert process.poll() is None, (folder / "said.txt").read_text("utf-8")
            time.sleep(0.1)
    raise AssertionError("the server is not ready")


def test_a_server_that_is_killed_before_it_told_tells_when_it_is_back(tmp_path: Path) -> None:
    """Killed as soon as it has answered that a trial is on its way: the next one sends it. No secret is in its log."""
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    with receiving() as receiver:
        process = serving(tmp_path, port)
        made = asked(address, "/v1/webhooks", {"url": f"{receiver.url}?key=hidden", "events": ["order.placed"]})
        events = []
        for _ in range(3):
            events.append(asked(address, f"/v1/webhooks/{made['id']}/tries")["event"])
            process.kill()
            process.wait()
            process = serving(tmp_path, port)
        try:
            last = time.monotonic() + 120
            while set(events) - set(receiver.ids()):
                assert time.monotonic() < last, receiver.ids()
                time.sleep(0.1)
        finally:
            process.terminate()
            process.wait(30)
        for each in receiver.received:
            body = Verifier(made["secret"]).verify(each.body, each.headers)
            assert (body["type"], body["data"]["id"]) == ("webhook.tried", made["id"])
    assert set(receiver.ids()) == set(events)
    said = (tmp_path / "said.txt").read_text("utf-8")
    assert made["secret"] not in said and "hidden" not in said
