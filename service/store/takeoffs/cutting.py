"""Cutting a stage's work into chunks."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, insert, select

from service.domain.takeoff import Stage
from service.store.takeoffs.tables import ChunkRow

Deliver = Callable[[Connection, Sequence[tuple[int, int]]], None]
"""Called with chunks that wait, each by its id and turn, in the transaction that has them wait: an engine is told."""


@dataclass(slots=True)
class Delivery:
    """Who is told of chunks that wait: one for all teams of a database, None where nobody is."""

    deliver: Deliver | None = None


MOST = 150
"""Demands of a chunk at most: with ordinary splice points about half a second of work."""

_PARTS = 32
"""A small takeoff is still cut into about so many parts, so that several workers share it and its progress shows."""

_table = ChunkRow.__table__


def chunk_size(demands: int) -> int:
    """How many demands a chunk of a takeoff has."""
    return max(1, min(MOST, -(-demands // _PARTS)))


def ranges(first: int, last: int, size: int) -> Iterable[tuple[int, int]]:
    """The numbers from ``first`` to ``last`` in runs of ``size``, the last run shorter where need be.

    >>> list(ranges(1, 7, 3))
    [(1, 3), (4, 6), (7, 7)]
    """
    return ((begin, min(begin + size - 1, last)) for begin in range(first, last + 1, size))


def cut(
    connection: Connection, takeoff: int, stage: Stage, parts: Iterable[tuple[int, int]], deliver: Deliver | None
) -> int:
    """Add waiting chunks over these ranges of demands; returns how many.

    Their turns begin where the chunks that are being worked on stand, so that a small takeoff need not wait for the
    end of a large one: the two take turns.
    """
    at_work = select(func.min(_table.c.turn)).where(_table.c.state.in_(("waiting", "leased")))
    turn = connection.scalars(at_work).one() or 0
    rows = [row_of(takeoff, stage, first, last, turn + place) for place, (first, last) in enumerate(parts)]
    put(connection, rows, deliver)
    return len(rows)


def row_of(takeoff: int, stage: str, first: int, last: int, turn: int) -> dict[str, Any]:
    """A chunk that waits, as a row."""
    chunk = {"takeoff": takeoff, "stage": stage, "first": first, "last": last, "turn": turn}
    return {**chunk, "state": "waiting", "fence": 0, "deaths": 0}


def put(connection: Connection, rows: Sequence[dict[str, Any]], deliver: Deliver | None) -> None:
    """Insert chunks, and have them delivered."""
    if not rows:
        return
    if deliver is None:
        connection.execute(insert(ChunkRow), list(rows))
        return
    made = connection.execute(insert(ChunkRow).returning(_table.c.id, _table.c.turn), list(rows)).all()
    deliver(connection, [(chunk, turn) for chunk, turn in made])
