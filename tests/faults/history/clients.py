"""Clients that read and conditionally write the same few things by way of several servers, and note what happens."""

from __future__ import annotations

import http.client
import random
import threading
import time
from dataclasses import replace
from typing import NamedTuple

from tests.faults.history.operations import Operation
from tests.faults.history.things import CATALOGUE, Thing, Things, versions_in
from tests.faults.insisting import Answer, Line

PAUSE_S = 0.01


class Known(NamedTuple):
    """What a client has of a thing: the tag that it was answered last, and the value then."""

    tag: str
    value: str


class HistoryClient(threading.Thread):
    """A client that goes on until it is stopped. ``history`` is what it did, ``wrong`` what may never be answered."""

    def __init__(self, number: int, ports: list[int], things: Things, stop: threading.Event, seed: int) -> None:
        super().__init__(name=f"client {number}", daemon=True)
        self.history: list[Operation] = []
        self.wrong: list[str] = []
        self._lines = [Line(port) for port in ports]
        self._things, self._stopped, self._chance = things, stop, random.Random(seed)
        self._known: dict[str, Known] = {}
        self._writes = 0

    def run(self) -> None:
        """Read or write one of the things after another."""
        try:
            while not self._stopped.is_set():
                thing = self._things.drawn(self._chance.randrange(4))
                known = self._known.get(thing.name)
                if known is None or self._chance.random() < 0.5:
                    self.read(thing, self._chance.choice(self._lines), known)
                else:
                    self._write(thing, self._chance.choice(self._lines), known)
        except Exception as error:
            self.wrong.append(f"{self.name}: {error!r}")
        finally:
            for line in self._lines:
                line.drop()

    def read(self, thing: Thing, line: Line, known: Known | None = None) -> bool:
        """Read a thing, half of the time what the client has is told; whether an answer came."""
        told = known is not None and self._chance.random() < 0.5
        began = time.monotonic()
        try:
            answer = line.sent("GET", thing.path, None, {"If-None-Match": known.tag} if told and known else None)
        except (OSError, http.client.HTTPException):
            time.sleep(PAUSE_S)
            return False
        done = Operation(self.name, thing.name, "read", began, time.monotonic())
        if answer.status == 304 and told and known is not None:
            self._note(replace(done, outcome="unmodified"), known.tag)
        elif answer.status == 200:
            if told and known is not None and answer.tag == known.tag:
                self.wrong.append(f"{self.name}: {thing.name} was sent although {known.tag} is what the client has")
            self._known[thing.name] = Known(answer.tag, thing.value(answer.document))
            self._note(replace(done, value=thing.value(answer.document)), answer.tag)
        else:
            self._bear(thing, answer)
            return False
        return True

    def _write(self, thing: Thing, line: Line, known: Known) -> None:
        """Replace what the client has read, now or long ago."""
        self._writes += 1
        following = thing.following(known.value, f"{self.name}, {self._writes}")
        if following is None:
            self._things.ended(thing)
            del self._known[thing.name]
            return
        value, body = following
        expected = versions_in(known.tag)[0]
        began = time.monotonic()
        done = Operation(self.name, thing.name, "unknown", began, float("inf"), expected=expected, value=value)
        try:
            answer = line.sent("PUT", thing.path, body, {"If-Match": known.tag})
        except (OSError, http.client.HTTPException):
            self.history.append(done)
            del self._known[thing.name]
            time.sleep(PAUSE_S)
            return
        done = replace(done, ended=time.monotonic())
        if answer.status == 200:
            self._known[thing.name] = Known(answer.tag, value)
            self._note(replace(done, outcome="written"), answer.tag)
        elif answer.status == 412:
            del self._known[thing.name]
            self.history.append(replace(done, outcome="refused"))
        else:
            # A database that cannot be reached may have been lost at the very commit.
            self.history.append(replace(done, ended=float("inf")))
            del self._known[thing.name]
            self._bear(thing, answer)

    def _note(self, done: Operation, tag: str) -> None:
        version, catalogue = versions_in(tag)
        self.history.append(replace(done, version=version))
        if catalogue is not None:
            self.history.append(
                replace(done, thing=CATALOGUE, outcome="unmodified", version=catalogue, expected=None, value=None)
            )

    def _bear(self, thing: Thing, answer: Answer) -> None:
        if answer.status != 503:
            self.wrong.append(f"{self.name}: {thing.path}: {answer.status} {answer.document}")
        time.sleep(PAUSE_S)
