"""How much waits to be worked on, and what came of the takeoffs that are kept: figures for whoever runs the service."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy import Connection, func, select

from service.store.takeoffs.tables import ChunkRow, TakeoffRow

_chunks = ChunkRow.__table__
_takeoffs = TakeoffRow.__table__


class Queue(NamedTuple):
    """Chunks that wait and that are leased; splice points of all takeoffs by what came of them.

    ``unproven`` splice points fit, and are counted there too: less may do, which nobody has shown to be impossible.
    """

    waiting: int
    leased: int
    fitting: int
    unfitting: int
    unproven: int
    faulty: int


def standing(connection: Connection) -> Queue:
    """The figures now: two statements, over the chunks not yet done with and one row for each takeoff."""
    by_state = select(_chunks.c.state, func.count()).group_by(_chunks.c.state)
    chunks = {state: int(count) for state, count in connection.execute(by_state)}
    counted = (_takeoffs.c.fitting, _takeoffs.c.unfitting, _takeoffs.c.unproven, _takeoffs.c.faulty)
    sums = connection.execute(select(*(func.coalesce(func.sum(column), 0) for column in counted))).one()
    return Queue(chunks.get("waiting", 0), chunks.get("leased", 0), *(int(each) for each in sums))
