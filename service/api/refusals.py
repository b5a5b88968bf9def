"""Which problem each exception of the inner layers is told as: the one table of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from service.api.installations.problems import changed, hung_already
from service.api.order_problems import held, in_order, not_in_state, ordered, unfinished
from service.api.problems import Problem, refused
from service.api.strict_json import MalformedJson
from service.building.order_sources import Unfinished
from service.domain.faults import Refused
from service.store import (
    Busy,
    Changed,
    Damaged,
    Exists,
    Full,
    Held,
    HungAlready,
    InOrder,
    NotFound,
    NotInState,
    Ordered,
    SchemaMismatch,
    Stale,
    StoreError,
    Unavailable,
)


def _unavailable(seconds: int) -> Callable[[Any], Problem]:
    detail = "The database cannot be used just now."
    return lambda _: Problem("unavailable", detail, headers={"Retry-After": str(seconds)})


def _malformed(error: MalformedJson) -> Problem:
    return Problem("malformed-json", str(error), [{"pointer": "", "code": error.code, "detail": str(error)}])


TABLE: dict[type[Exception], Callable[[Any], Problem]] = {
    MalformedJson: _malformed,
    Refused: lambda error: refused(error.faults),
    NotFound: lambda error: Problem("not-found", "There is nothing at this address."),
    Exists: lambda error: Problem("stale", f"It exists already, at revision {error.revision}."),
    Stale: lambda error: Problem("stale", f"It is at revision {error.current} by now; read it again."),
    Ordered: ordered,
    InOrder: in_order,
    NotInState: not_in_state,
    Held: held,
    Unfinished: unfinished,
    HungAlready: hung_already,
    Changed: changed,
    Busy: _unavailable(1),
    Unavailable: _unavailable(5),
    SchemaMismatch: _unavailable(60),
    Damaged: _unavailable(60),
    Full: lambda error: Problem("full", "The disk of the database is full; nothing was stored."),
    StoreError: _unavailable(5),
}

WORTH_A_LOG = (Unavailable, SchemaMismatch, Damaged, Full)
"""Exceptions that the operator should hear of although they are answered."""


def problem_of(error: Exception) -> Problem | None:
    """The problem that an exception is told as, by its nearest class; None: it is not in the table."""
    for kind in type(error).__mro__:
        if kind in TABLE:
            return TABLE[kind](error)
    return None
