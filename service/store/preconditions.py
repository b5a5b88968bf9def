"""What a caller expects to find before a change: the caller's view is checked in the change's own transaction."""

from __future__ import annotations

from dataclasses import dataclass

from service.store.errors import Exists, NotFound, Stale


@dataclass(frozen=True, slots=True)
class Absent:
    """It is not there yet (``If-None-Match: *``)."""


@dataclass(frozen=True, slots=True)
class Revision:
    """It is at this revision (``If-Match``); ``others`` are further revisions that will do."""

    number: int
    others: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class AnyRevision:
    """It is there, whatever its revision (``If-Match: *``)."""


Expectation = Absent | Revision | AnyRevision


def hold(expect: Expectation, current: int | None, what: str) -> None:
    """Raise ``Exists``, ``NotFound`` or ``Stale`` where ``current`` (None: not there) is not as expected."""
    if isinstance(expect, Absent):
        if current is not None:
            raise Exists(f"{what} exists already, at revision {current}.", current)
    elif current is None:
        raise NotFound(f"There is no {what}.")
    elif isinstance(expect, Revision) and current != expect.number and current not in expect.others:
        raise Stale(f"{what} is at revision {current} by now.", current)
