"""A client's side of HTTP where servers are killed: a request is sent again until it is answered as wanted."""

from __future__ import annotations

import http.client
import json
import time
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import Any, NamedTuple

from tests.faults.acknowledged import Acknowledged

WAIT_S = 30.0
PAUSE_S = 0.02
ATTEMPTS = 20_000


class Answer(NamedTuple):
    """An answer that was read whole; ``document`` None: it has no body."""

    status: int
    document: Any
    tag: str


class Line:
    """One connection to a server at ``port``, opened anew after it broke."""

    def __init__(self, port: int, token: str | None = None) -> None:
        self._port = port
        self._headers = {} if token is None else {"Authorization": f"Bearer {token}"}
        self._connection: http.client.HTTPConnection | None = None

    def sent(self, method: str, path: str, body: Any = None, headers: Mapping[str, str] | None = None) -> Answer:
        """Send it once; raises OSError or HTTPException where no whole answer comes."""
        sent = None if body is None else json.dumps(body).encode()
        told = {**self._headers, **(headers or {}), **({"Content-Type": "application/json"} if sent else {})}
        if self._connection is None:
            self._connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=WAIT_S)
        try:
            self._connection.request(method, path, sent, told)
            response = self._connection.getresponse()
            answer = response.read()
        except BaseException:
            self.drop()
            raise
        return Answer(response.status, json.loads(answer) if answer else None, response.getheader("ETag") or "")

    def drop(self) -> None:
        """Close the connection; the next request opens another."""
        if self._connection is not None:
            with suppress(OSError):
                self._connection.close()
            self._connection = None


class Insisting:
    """Sends until it is answered as wanted, and counts how often it had to.

    Bearable meanwhile are broken connections, 503, and 409 while the same key is still worked on; at any other answer
    RuntimeError is raised.
    """

    def __init__(self, line: Line, told: Acknowledged) -> None:
        self.told = told
        self._line = line

    def get(self, path: str, wanted: Sequence[int] = (200,)) -> Answer:
        """Read."""
        return self.insisted("GET", path, wanted=wanted)

    def stored(self, path: str, key: str, body: Any) -> dict[str, Any]:
        """Store under a key: whatever is sent twice is stored once. The document that was answered."""
        answer = self.insisted("POST", path, body, {"Idempotency-Key": key}, (200, 201, 202))
        document: dict[str, Any] = answer.document
        return document

    def insisted(
        self,
        method: str,
        path: str,
        body: Any = None,
        headers: Mapping[str, str] | None = None,
        wanted: Sequence[int] = (200,),
    ) -> Answer:
        """Send it until its status is one of those wanted."""
        for attempt in range(ATTEMPTS):
            self.told.again += attempt > 0
            try:
                answer = self._line.sent(method, path, body, headers)
            except (OSError, http.client.HTTPException):
                time.sleep(PAUSE_S)
                continue
            self.told.statuses[answer.status] += 1
            if answer.status in wanted:
                return answer
            in_flight = answer.status == 409 and "in-flight" in answer.document["type"]
            if not (answer.status == 503 or in_flight):
                raise RuntimeError(f"{method} {path} {headers}: {answer.status} {str(answer.document)[:500]}")
            # Sooner than Retry-After asks, so that a run meets more kills.
            time.sleep(PAUSE_S * 5)
        raise RuntimeError(f"{method} {path} was never answered as wanted")
