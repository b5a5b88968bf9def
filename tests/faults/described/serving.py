"""The server as an operator begins it, ``python -m service serve``, on a database that things lie in already."""

from __future__ import annotations

import http.client
import json
import os
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from service.domain.access import Scope
from service.store import open_store
from tests.api.hung import DROP
from tests.api.live_server import free_port
from tests.api.tokens import made
from tests.faults.written import catalogue, lines, request

ROOT = Path(__file__).resolve().parents[3]
CREW: tuple[Scope, ...] = ("read", "plan", "build", "order", "catalogue")
"""What an ordinary team may do: all but looking after tokens and reading the record."""

EACH = 2
"""So many things of each kind are there to stay, and so many to be removed."""

Headers = dict[str, str]
Ids = dict[str, list[str]]


@dataclass(frozen=True)
class Standing:
    """A server that answers: where, who may ask, and the ids of what is to stay, by the first word of their paths."""

    port: int
    crew: Headers
    office: Headers
    """An administrator of another team than the crew's."""
    neighbours: Headers
    """A third team, as able as the crew."""
    ids: Ids
    doomed: Ids
    """Of things that are there to be removed."""

    @property
    def url(self) -> str:
        """Where it answers."""
        return f"http://127.0.0.1:{self.port}"


@contextmanager
def standing(url: str, processes: int, log: Path) -> Iterator[Standing]:
    """A server of so many processes (1: waitress, more: granian) on an empty database; its log goes to a file."""
    store = open_store(url)
    store.upgrade()
    crew, neighbours = (made(store, *CREW, team=team)[1] for team in ("crew", "neighbours"))
    _, office = made(store, "admin", team="office")
    spare = [made(store, "read", team="office")[0] for _ in range(2)]
    store.close()
    port = free_port()
    command = [sys.executable, "-m", "service", "serve", "--port", str(port), "--database", url]
    command += ["--workers", str(processes), "--takeoff-workers", "1"]
    with log.open("wb") as written:
        process = subprocess.Popen(
            command, cwd=ROOT, env={**os.environ, "TRAYWRIGHT_WEBHOOK_SENDERS": "0"}, stdout=written, stderr=written
        )
    try:
        _awaited(port, process)
        ids, doomed = _laid_in(port, crew)
        webhooks, deliveries = _told_of(port, office)
        _shown(port, (crew, office, neighbours))
        kept = {**ids, "tokens": [spare[0].id], "webhooks": webhooks[:1], "deliveries": deliveries}
        yield Standing(
            port, crew, office, neighbours, kept, {**doomed, "tokens": [spare[1].id], "webhooks": webhooks[1:]}
        )
    finally:
        process.terminate()
        process.wait(30)


def _awaited(port: int, process: subprocess.Popen[bytes], within_s: float = 60) -> None:
    last = time.monotonic() + within_s
    while time.monotonic() < last:
        assert process.poll() is None, "the server ended by itself"
        try:
            if _asked(port, "GET", "/healthz")[0] == 200:
                return
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the server does not answer")


def _shown(port: int, people: Iterable[Headers]) -> None:
    """Every token often enough that each process has seen it: bad tokens follow, and then new ones wait."""
    for headers in people:
        for _ in range(20):
            assert _asked(port, "GET", "/v1/whoami", headers=headers)[0] == 200


def _laid_in(port: int, crew: Headers) -> tuple[Ids, Ids]:
    """A catalogue, and things of each kind: (ids of what is to stay, of what may be removed)."""
    send = _Sender(port, crew)
    send("PUT", "/v1/catalogue", catalogue(), If_None_Match="*")
    send("PUT", "/v1/stock/rs-12", {"on_hand": 10}, If_None_Match="*")
    found: dict[str, list[str]] = {"plans": [], "orders": [], "installations": [], "takeoffs": [], "additions": []}
    for _ in range(2 * EACH):
        ordered, hung, plan = (send("POST", "/v1/plans", request()) for _ in range(3))
        closure = send("POST", "/v1/installations", {"plan": hung})
        records = {"records": [{"splice": 1, "remakes": 1}]}
        send("POST", f"/v1/installations/{closure}/splice-records", records)
        made = {
            "plans": plan,
            "orders": send("POST", "/v1/orders", {"plans": [ordered]}),
            "installations": closure,
            "takeoffs": send("POST", "/v1/takeoffs?closure_kinds=2", lines(), Content_Type="application/x-ndjson"),
            "additions": send("POST", f"/v1/installations/{closure}/additions", DROP),
        }
        for kind, id in made.items():
            found[kind].append(id)
    for id in found["takeoffs"]:
        send.until_finished(id)
    return {kind: ids[:EACH] for kind, ids in found.items()}, {kind: ids[EACH:] for kind, ids in found.items()}


def _told_of(port: int, office: Headers) -> tuple[list[str], list[str]]:
    """Webhooks that are tried, and the deliveries that wait for it."""
    send = _Sender(port, office)
    told = {"url": "https://1.1.1.1/told", "events": ["order.placed"]}
    webhooks = [send("POST", "/v1/webhooks", told) for _ in range(2)]
    return webhooks, [send("POST", f"/v1/webhooks/{each}/tries", {}) for each in webhooks]


@dataclass(frozen=True)
class _Sender:
    """Sends what has to succeed, as the crew, and tells the id of what was made."""

    port: int
    crew: Headers

    def __call__(self, method: str, path: str, body: Any, **more: str) -> str:
        content = body if isinstance(body, bytes) else json.dumps(body).encode()
        named = {name.replace("_", "-"): value for name, value in more.items()}
        headers = {"Content-Type": "application/json", **self.crew, **named}
        status, answer = _asked(self.port, method, path, content, headers)
        assert status in (200, 201, 202), (method, path, status, answer)
        id: str = answer.get("id", "")
        return id

    def until_finished(self, takeoff: str, within_s: float = 60) -> None:
        last = time.monotonic() + within_s
        while time.monotonic() < last:
            if _asked(self.port, "GET", f"/v1/takeoffs/{takeoff}", headers=self.crew)[1]["state"] == "finished":
                return
            time.sleep(0.1)
        raise AssertionError("a takeoff does not come to its end")


def _asked(
    port: int, method: str, path: str, body: bytes | None = None, headers: Mapping[str, str] | None = None
) -> tuple[int, Any]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        connection.request(method, path, body, dict(headers or {}))
        answer = connection.getresponse()
        content = answer.read()
        return answer.status, json.loads(content) if content else None
    finally:
        connection.close()
