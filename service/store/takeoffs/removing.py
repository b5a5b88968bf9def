"""Removing a takeoff with everything that belongs to it."""

from __future__ import annotations

from sqlalchemy import Connection, delete

from service.store.takeoffs.tables import ChunkRow, DemandRow, JudgedRow, PointRow, ResultRow, TakeoffRow
from service.store.teams import mine


def remove(connection: Connection, number: int) -> None:
    """Delete a takeoff by its number. A worker that is at a chunk of it finds that out when it is done."""
    for rows in (ChunkRow, PointRow, ResultRow, JudgedRow, DemandRow):
        connection.execute(delete(rows).where(rows.takeoff == number))
    connection.execute(delete(TakeoffRow).where(mine(connection, TakeoffRow), TakeoffRow.number == number))
