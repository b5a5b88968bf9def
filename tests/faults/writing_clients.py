"""Clients that write without pause and know exactly what was acknowledged to them.

Each sends every request again under its Idempotency-Key until a 2xx has been read whole. What else may be answered
while things are killed is named in ``BEARABLE``; any other answer is noted as wrong.
"""

from __future__ import annotations

import http.client
import json
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

WAIT_S = 30.0
PAUSE_S = 0.02


@dataclass
class Acknowledged:
    """What one client was told is stored: kind, key and id; the states that orders were told to be in."""

    plans: dict[str, str] = field(default_factory=dict)
    orders: dict[str, str] = field(default_factory=dict)
    installations: dict[str, str] = field(default_factory=dict)
    takeoffs: dict[str, str] = field(default_factory=dict)
    states: dict[str, str] = field(default_factory=dict)
    removed: set[str] = field(default_factory=set)
    plan_of: dict[str, str] = field(default_factory=dict)
    moves: int = 0
    again: int = 0
    statuses: Counter[int] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)

    @property
    def writes(self) -> int:
        """How many writes were acknowledged."""
        stored = (self.plans, self.orders, self.installations, self.takeoffs, self.removed)
        return sum(map(len, stored)) + self.moves


class WritingClient(threading.Thread):
    """A client that writes until ``stop`` is set, and then finishes the write that it is at."""

    def __init__(self, number: int, port: int, request: dict[str, Any], stop: threading.Event, enough: int) -> None:
        super().__init__(name=f"client {number}", daemon=True)
        self.number, self.told = number, Acknowledged()
        self._port, self._request, self._stopped, self._enough = port, request, stop, enough
        self._connection: http.client.HTTPConnection | None = None

    def run(self) -> None:
        """A plan, an order for it, the closure hung; every fourth order goes on, every tenth draft is removed."""
        turn = 0
        try:
            while not self._stopped.is_set():
                turn += 1
                self._turn(f"{self.number}-{turn}", turn)
                if self.told.writes >= self._enough:
                    self._stopped.wait(0.05)
        except Exception as error:
            self.told.wrong.append(f"{self.name}: {error!r}")
        finally:
            self._drop()

    def _turn(self, name: str, turn: int) -> None:
        told = self.told
        plan = self._stored("/v1/plans", f"plan-{name}", {**self._request, "name": name}, told.plans)
        told.plan_of[f"plan-{name}"] = plan
        if turn % 2:
            order = self._stored("/v1/orders", f"order-{name}", {"plans": [plan], "name": name}, told.orders)
            told.states[order] = "draft"
            if turn % 10 == 5:
                self._removed(f"/v1/orders/{order}")
                told.removed.add(order)
                del told.states[order]
            elif turn % 4 == 1:
                for state in ("placed", "received", "issued"):
                    self._moved(order, state)
        if turn % 3 == 0:
            self._stored("/v1/installations", f"hung-{name}", {"plan": plan}, told.installations)
        if turn % 12 == 4:
            points = [{**self._request, "name": f"{name} {point}"} for point in range(3)]
            self._stored("/v1/takeoffs", f"takeoff-{name}", {"name": name, "splice_points": points}, told.takeoffs)

    def _stored(self, path: str, key: str, body: dict[str, Any], known: dict[str, str]) -> str:
        _, document, _ = self._insisted("POST", path, body, {"Idempotency-Key": key}, (201, 202))
        known[key] = document["id"]
        return known[key]

    def _moved(self, order: str, state: str) -> None:
        """Let an order go on, once: after a broken connection it is looked at whether it did already."""
        while True:
            _, standing, tag = self._insisted("GET", f"/v1/orders/{order}/state", None, {}, (200,))
            if standing["state"] == state:
                break
            path = f"/v1/orders/{order}/state"
            if self._insisted("PUT", path, {"state": state}, {"If-Match": tag}, (200, 412))[0] == 200:
                break
        self.told.states[order] = state
        self.told.moves += 1

    def _removed(self, path: str) -> None:
        self._insisted("DELETE", path, None, {"If-Match": "*"}, (204, 404))

    def _insisted(
        self, method: str, path: str, body: dict[str, Any] | None, headers: dict[str, str], wanted: tuple[int, ...]
    ) -> tuple[int, Any, str]:
        """Send it until it is answered as wanted: (status, document, entity tag)."""
        sent = None if body is None else json.dumps(body).encode()
        headers = {**headers, "Content-Type": "application/json"} if sent else headers
        for attempt in range(100_000):
            self.told.again += attempt > 0
            try:
                status, answered, answer = self._exchange(method, path, sent, headers)
            except (OSError, http.client.HTTPException):
                self._drop()
                time.sleep(PAUSE_S)
                continue
            self.told.statuses[status] += 1
            if status in wanted:
                return status, json.loads(answer) if answer else None, answered.get("etag", "")
            in_flight = status == 409 and b"in-flight" in answer
            if not (status == 503 or in_flight) or "retry-after" not in answered:
                raise RuntimeError(f"{method} {path} {headers}: {status} {answer[:500]!r}")
            # Sooner than Retry-After asks, so that a run meets more kills.
            time.sleep(PAUSE_S * 5)
        raise RuntimeError(f"{method} {path} was never answered as wanted")

    def _exchange(
        self, method: str, path: str, body: bytes | None, headers: dict[str, str]
    ) -> tuple[int, dict[str, str], bytes]:
        if self._connection is None:
            self._connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=WAIT_S)
        self._connection.request(method, path, body, headers)
        response = self._connection.getresponse()
        answer = response.read()
        return response.status, {name.lower(): value for name, value in response.getheaders()}, answer

    def _drop(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None
