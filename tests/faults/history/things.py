"""The things that are read and conditionally written: an entry, a closure's place, orders' states, counted stock."""

from __future__ import annotations

import itertools
import re
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from tests.faults.insisting import Line
from tests.faults.written import request, tray

FIRST = {"If-None-Match": "*"}
NEXT = {"draft": "placed", "placed": "received", "received": "issued"}
CATALOGUE = "catalogue"
"""The second number of a hung closure's entity tag: written by whoever writes entries."""

_TAG = re.compile(r'"([0-9]+)(?:\.([0-9]+))?"\Z')
_count = itertools.count(1_000)


def versions_in(tag: str) -> tuple[int, int | None]:
    """The version that an entity tag tells, and that of the catalogue where it tells that as well."""
    found = _TAG.match(tag)
    assert found is not None, tag
    return int(found[1]), None if found[2] is None else int(found[2])


class Thing(Protocol):
    """Something with an address, a value that is read, and a body that gives it another."""

    @property
    def name(self) -> str:
        """What it is called in the history."""

    @property
    def path(self) -> str:
        """Where it is read and written."""

    def value(self, document: Mapping[str, Any]) -> str:
        """Its value in an answer."""

    def following(self, value: str, unique: str) -> tuple[str, Any] | None:
        """Another value, and the body that sets it; None: it has come to its end."""


@dataclass(frozen=True)
class Entry:
    """A tray in the catalogue, by its title."""

    code: str = "shared"

    @property
    def name(self) -> str:
        return f"tray {self.code}"

    @property
    def path(self) -> str:
        return f"/v1/trays/{self.code}"

    def value(self, document: Mapping[str, Any]) -> str:
        return str(document["title"])

    def following(self, value: str, unique: str) -> tuple[str, Any]:
        return unique, tray(self.code, unique)


@dataclass(frozen=True)
class Hung:
    """A hung closure, by the name of its place."""

    id: str

    @property
    def name(self) -> str:
        return f"installation {self.id}"

    @property
    def path(self) -> str:
        return f"/v1/installations/{self.id}"

    def value(self, document: Mapping[str, Any]) -> str:
        return str(document.get("name", ""))

    def following(self, value: str, unique: str) -> tuple[str, Any]:
        return unique, {"name": unique}


@dataclass(frozen=True)
class Counted:
    """Stock of a tray, by how many there are."""

    code: str = "shared"

    @property
    def name(self) -> str:
        return f"stock of {self.code}"

    @property
    def path(self) -> str:
        return f"/v1/stock/{self.code}?kind=tray"

    def value(self, document: Mapping[str, Any]) -> str:
        return str(int(document["on_hand"]))

    def following(self, value: str, unique: str) -> tuple[str, Any]:
        number = next(_count)
        return str(number), {"on_hand": number}


@dataclass(frozen=True)
class State:
    """An order, by its state, which goes one way."""

    id: str

    @property
    def name(self) -> str:
        return f"order {self.id}"

    @property
    def path(self) -> str:
        return f"/v1/orders/{self.id}/state"

    def value(self, document: Mapping[str, Any]) -> str:
        return str(document["state"])

    def following(self, value: str, unique: str) -> tuple[str, Any] | None:
        return (NEXT[value], {"state": NEXT[value]}) if value in NEXT else None


class Things:
    """All of them, made on a server; the order that is worked on is another one when it is issued."""

    def __init__(self, line: Line, orders: int) -> None:
        assert line.sent("PUT", "/v1/trays/shared", tray("shared", "at first"), FIRST).status == 201
        assert line.sent("PUT", "/v1/stock/shared?kind=tray", {"on_hand": 1}, FIRST).status == 201
        hung = line.sent("POST", "/v1/installations", {"plan": _plan(line), "name": "at first"}).document["id"]
        self._orders = [State(_order(line, _plan(line))) for _ in range(orders)]
        self._others: list[Thing] = [Entry(), Counted(), Hung(hung)]
        self._lock, self._at = threading.Lock(), 0

    @property
    def all(self) -> Sequence[Thing]:
        """Every one, the orders to come as well."""
        return [*self._others, *self._orders]

    def drawn(self, number: int) -> Thing:
        """One of them by a number from 0 to 3."""
        return self._others[number] if number < len(self._others) else self._orders[self._at]

    def ended(self, thing: Thing) -> None:
        """The thing has come to its end: on to the next of its kind."""
        with self._lock:
            if self._orders[self._at] == thing and self._at < len(self._orders) - 1:
                self._at += 1


def _plan(line: Line) -> str:
    return str(line.sent("POST", "/v1/plans", request()).document["id"])


def _order(line: Line, plan: str) -> str:
    return str(line.sent("POST", "/v1/orders", {"plans": [plan]}).document["id"])
