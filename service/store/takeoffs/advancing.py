"""From one stage of a takeoff to the next, and to its end. The caller holds the takeoff (see ``locking``)."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, delete, update

from service.domain.takeoff import Stage
from service.store.takeoffs.cutting import Deliver, chunk_size, cut, ranges
from service.store.takeoffs.tables import ChunkRow, TakeoffRow
from service.store.takeoffs.telling import tell_ended
from service.store.teams import mine

_table = TakeoffRow.__table__
_chunks = ChunkRow.__table__


def change(connection: Connection, number: int, **values: Any) -> None:
    """Set columns of a takeoff."""
    connection.execute(update(TakeoffRow).where(mine(connection, _table), _table.c.number == number).values(**values))


def start(connection: Connection, takeoff: Row[Any], now: datetime, deliver: Deliver | None) -> None:
    """Let the work begin on a takeoff that was received; without any demand it is finished at once."""
    size = chunk_size(takeoff.demands)
    change(connection, takeoff.number, state="running", started=now, chunk_demands=size)
    if not takeoff.demands:
        finish(connection, takeoff.number, now)
        return
    stage: Stage = "planning" if takeoff.closure_kinds_most is None else "judging"
    chunks = cut(connection, takeoff.number, stage, ranges(1, takeoff.demands, size), deliver)
    change(connection, takeoff.number, stage=stage, chunks_left=chunks)


def follow(connection: Connection, takeoff: Row[Any], now: datetime, deliver: Deliver | None) -> None:
    """Begin what comes after the stage whose last chunk is done."""
    if takeoff.stage == "judging":
        chunks = cut(connection, takeoff.number, "choosing", [(1, takeoff.demands)], deliver)
        change(connection, takeoff.number, stage="choosing", chunks_left=chunks)
    elif takeoff.stage == "choosing":
        parts = ranges(1, takeoff.demands, takeoff.chunk_demands)
        chunks = cut(connection, takeoff.number, "planning", parts, deliver)
        change(connection, takeoff.number, stage="planning", chunks_left=chunks)
    elif takeoff.stage == "planning":
        chunks = cut(connection, takeoff.number, "adding_up", [(1, takeoff.demands)], deliver)
        change(connection, takeoff.number, stage="adding_up", chunks_left=chunks)
    else:
        finish(connection, takeoff.number, now)


def finish(connection: Connection, number: int, now: datetime) -> None:
    """All of it is done."""
    change(connection, number, state="finished", stage=None, ended=now, chunks_left=0)
    tell_ended(connection, number, now)


def end_early(connection: Connection, number: int, state: str, why: str | None, now: datetime) -> None:
    """Work on it no longer; what was planned stays to be read. Chunks go, so whoever holds one cannot bring it in."""
    connection.execute(delete(ChunkRow).where(_chunks.c.takeoff == number))
    change(connection, number, state=state, stage=None, why=why, ended=now, chunks_left=0)
    tell_ended(connection, number, now)
