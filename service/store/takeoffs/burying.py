"""Chunks whose worker ended while it held them: given to another, taken apart, or in the end given up.

A worker may end for reasons of its own. Where one chunk ends several, a demand in it may be what ends them: the chunk
is taken apart into single demands, and a single one that goes on ending workers is recorded as faulty.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, delete, select, update

from service.domain.faults import Fault
from service.domain.takeoff import WHOLE_STAGES, DemandResult, Judged
from service.store.errors import NotFound
from service.store.takeoffs.advancing import change, end_early
from service.store.takeoffs.completing import add_judged, add_results, complete
from service.store.takeoffs.cutting import Deliver, put, ranges, row_of
from service.store.takeoffs.leasing import now_of
from service.store.takeoffs.locking import held
from service.store.takeoffs.tables import ChunkRow, TakeoffRow

APART_AFTER = 2
"""Workers that a chunk of several demands may end before it is taken apart."""

GIVEN_UP_AFTER = 3
"""Workers that a single demand may end before it is given up."""

ENDS_WORKERS = Fault("", "unplannable", "Planning this splice point broke off several times, so it was given up.")
_NO_END = {
    "choosing": "Choosing the kinds of closure broke off several times, so the takeoff was given up.",
    "adding_up": "Adding up the plans broke off several times, so the takeoff was given up.",
}
_chunks = ChunkRow.__table__
_takeoffs = TakeoffRow.__table__


def bury(connection: Connection, chunk: int, now: datetime, deliver: Deliver | None) -> bool:
    """See to a chunk whose lease ran out; False where it did not, or where it is not there any more."""
    whose = select(_takeoffs.c.id).join(_chunks, _chunks.c.takeoff == _takeoffs.c.number).where(_chunks.c.id == chunk)
    takeoff_id = connection.scalars(whose).one_or_none()
    if takeoff_id is None:
        return False
    try:
        takeoff = held(connection, takeoff_id)
    except NotFound:
        return False
    ran_out = _chunks.c.id == chunk, _chunks.c.state == "leased", _chunks.c.leased_until < now_of(connection)
    row = connection.execute(select(_chunks).where(*ran_out).with_for_update()).one_or_none()
    if row is None:
        return False
    deaths = row.deaths + 1
    values = {"state": "waiting", "worker": None, "leased_until": None, "deaths": deaths}
    connection.execute(update(ChunkRow).where(_chunks.c.id == chunk).values(**values))
    single = row.first == row.last or row.stage in WHOLE_STAGES
    if deaths >= (GIVEN_UP_AFTER if single else APART_AFTER):
        (_give_up if single else _take_apart)(connection, takeoff, row, now, deliver)
    elif deliver is not None:
        deliver(connection, [(chunk, row.turn)])
    return True


def _take_apart(
    connection: Connection, takeoff: Row[Any], row: Row[Any], _now: datetime, deliver: Deliver | None
) -> None:
    connection.execute(delete(ChunkRow).where(_chunks.c.id == row.id))
    parts = [row_of(takeoff.number, row.stage, *part, row.turn) for part in ranges(row.first, row.last, 1)]
    put(connection, parts, deliver)
    change(connection, takeoff.number, chunks_left=_takeoffs.c.chunks_left + len(parts) - 1)


def _give_up(connection: Connection, takeoff: Row[Any], row: Row[Any], now: datetime, deliver: Deliver | None) -> None:
    if row.stage in _NO_END:
        end_early(connection, takeoff.number, "stopped", _NO_END[row.stage], now)
        return
    if row.stage == "judging":
        add_judged(connection, takeoff, [Judged(row.first, {})])
    else:
        add_results(connection, takeoff, [DemandResult(row.first, None, faults=(ENDS_WORKERS,))], [None])
    complete(connection, takeoff, row.id, now, deliver)
