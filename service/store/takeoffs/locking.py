"""Holding a takeoff while it changes.

Always the takeoff first and its chunks after it, so that no two changes wait for each other in a ring.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Row, select

from service.store.errors import NotFound
from service.store.takeoffs.tables import TakeoffRow
from service.store.teams import mine
from service.store.text import keepable

_table = TakeoffRow.__table__


def held(connection: Connection, takeoff_id: str) -> Row[Any]:
    """A takeoff's row, which no one else changes before this transaction ends; raises ``NotFound``."""
    query = select(_table).where(mine(connection, _table), _table.c.id == takeoff_id).with_for_update()
    row = connection.execute(query).one_or_none() if keepable(takeoff_id) else None
    if row is None:
        raise NotFound("There is no such takeoff.")
    return row
