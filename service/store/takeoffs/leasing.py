"""Leasing chunks to workers.

A lease lasts for a while and is renewed by a worker that takes longer. Its fence counts the leases of the chunk: who
comes back with an earlier one has lost the chunk to another. A lease that ran out means that its worker ended.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, func, select, true, update

from service.domain.takeoff import Chunk
from service.store.moments import utc_now
from service.store.takeoffs.standing import codes_read, tallies_read
from service.store.takeoffs.tables import ChunkRow, TakeoffRow
from service.store.teams import mine

LEASE_S = 10.0
"""How long a lease lasts: after so long another worker takes what one on a broken machine held."""

_AT_ONCE = 500
_LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
_chunks = ChunkRow.__table__
_takeoffs = TakeoffRow.__table__
_detail = (
    _chunks.c.id,
    _chunks.c.fence,
    _takeoffs.c.id.label("takeoff"),
    _takeoffs.c.team,
    _chunks.c.stage,
    _chunks.c.first,
    _chunks.c.last,
    _takeoffs.c.catalogue_revision,
    _takeoffs.c.closure_kinds_most,
    _takeoffs.c.chosen,
    _takeoffs.c.recorded,
)


def now_of(connection: Connection) -> datetime:
    """The time by the clock that all workers of a database share."""
    if connection.dialect.name == "sqlite":
        return utc_now()
    moment: datetime = connection.scalars(select(func.clock_timestamp())).one()
    return moment


def _begun_by(version: str | None) -> ColumnElement[bool]:
    """The condition that a chunk's takeoff was begun by this version of the service; None: by any."""
    if version is None:
        return true()
    its = select(_takeoffs.c.number).where(_takeoffs.c.number == _chunks.c.takeoff, _takeoffs.c.version == version)
    return its.exists()


def left_by(connection: Connection, version: str) -> dict[str, str]:
    """The takeoffs at work that another version than this one began: their versions by their ids."""
    query = select(_takeoffs.c.id, _takeoffs.c.version).where(_takeoffs.c.state == "running")
    rows = connection.execute(query.where(_takeoffs.c.version != version).order_by(_takeoffs.c.number))
    return {takeoff: begun_by for takeoff, begun_by in rows}  # noqa: C416 - rows are no pairs to a type checker


def versions_of(connection: Connection, chunks: Sequence[int]) -> dict[int, str]:
    """The versions of the service that began these chunks' takeoffs."""
    found: dict[int, str] = {}
    for start in range(0, len(chunks), _AT_ONCE):
        query = select(_chunks.c.id, _takeoffs.c.version).join(_takeoffs, _takeoffs.c.number == _chunks.c.takeoff)
        some = _chunks.c.id.in_(chunks[start : start + _AT_ONCE])
        rows = connection.execute(query.where(mine(connection, _takeoffs), some))
        found.update((chunk, version) for chunk, version in rows)
    return found


def waits(connection: Connection, version: str | None = None) -> bool:
    """Whether there is a chunk to be leased; a look that writes nothing."""
    some = select(_chunks.c.id).where(_chunks.c.state == "waiting", _begun_by(version)).limit(1)
    return connection.scalars(some).first() is not None or expired(connection) is not None


def waiting(connection: Connection, most: int) -> list[tuple[int, int]]:
    """The chunks whose turns come next, each by its id and turn."""
    query = select(_chunks.c.id, _chunks.c.turn).where(_chunks.c.state == "waiting")
    rows = connection.execute(query.order_by(_chunks.c.turn, _chunks.c.id).limit(most))
    return [(chunk, turn) for chunk, turn in rows]


def expired(connection: Connection) -> int | None:
    """The chunk whose lease ran out first, or None."""
    ran_out = _chunks.c.state == "leased", _chunks.c.leased_until < now_of(connection)
    return connection.scalars(select(_chunks.c.id).where(*ran_out).order_by(_chunks.c.leased_until).limit(1)).first()


def lease(
    connection: Connection, worker: str, lease_s: float, chunk: int | None = None, version: str | None = None
) -> Chunk | None:
    """Lease the waiting chunk whose turn it is, or this one if it waits; None where there is none.

    Where a ``version`` is given, of takeoffs that it began alone.
    """
    which = select(_chunks.c.id).where(_chunks.c.state == "waiting", _begun_by(version))
    if chunk is not None:
        which = which.where(_chunks.c.id == chunk)
    which = which.order_by(_chunks.c.turn, _chunks.c.id).limit(1).with_for_update(skip_locked=True)
    found = connection.scalars(which).one_or_none()
    if found is None:
        return None
    until = now_of(connection) + timedelta(seconds=lease_s)
    values = {"state": "leased", "worker": worker, "leased_until": until, "fence": _chunks.c.fence + 1}
    connection.execute(update(ChunkRow).where(_chunks.c.id == found).values(**values))
    query = select(*_detail).join(_takeoffs, _takeoffs.c.number == _chunks.c.takeoff).where(_chunks.c.id == found)
    told = connection.execute(query).one()._mapping
    return Chunk(**{**told, "chosen": codes_read(told["chosen"]), "recorded": tallies_read(told["recorded"])})


def holder(chunk: Chunk) -> tuple[Any, ...]:
    """The conditions under which a chunk is still held by whoever leased it so."""
    return _chunks.c.id == chunk.id, _chunks.c.fence == chunk.fence, _chunks.c.state == "leased"


def renew(connection: Connection, chunk: Chunk, lease_s: float) -> bool:
    """Let a lease last from now on; False where the chunk is no longer this worker's, or no longer wanted."""
    until = now_of(connection) + timedelta(seconds=lease_s)
    return connection.execute(update(ChunkRow).where(*holder(chunk)).values(leased_until=until)).rowcount == 1


def hand_back(connection: Connection, chunk: Chunk) -> int | None:
    """Give a chunk up unfinished, for another worker to take at once; that is not held against it.

    Returns its turn, None where it is no longer this worker's or no longer wanted.
    """
    values = {"state": "waiting", "worker": None, "leased_until": None}
    given = update(ChunkRow).where(*holder(chunk)).values(**values).returning(_chunks.c.turn)
    return connection.scalars(given).one_or_none()


def give_up_for(connection: Connection, worker: str) -> int:
    """End the leases of a worker that is known to be dead; returns how many it had."""
    held = _chunks.c.state == "leased", _chunks.c.worker == worker
    return connection.execute(update(ChunkRow).where(*held).values(leased_until=_LONG_AGO)).rowcount


def give_up(connection: Connection, chunk: int) -> bool:
    """End the lease of a chunk whose worker is known to be dead; False where nobody holds it."""
    held = _chunks.c.state == "leased", _chunks.c.id == chunk
    return connection.execute(update(ChunkRow).where(*held).values(leased_until=_LONG_AGO)).rowcount == 1


def lessees(connection: Connection) -> list[str]:
    """The workers that hold chunks."""
    query = select(_chunks.c.worker).where(_chunks.c.state == "leased", _chunks.c.leased_until > _LONG_AGO).distinct()
    return list(connection.scalars(query.order_by(_chunks.c.worker)).all())


def still_held(connection: Connection, chunk: Chunk) -> Row[Any] | None:
    """The row of a chunk that is still held by whoever leased it so, or None; the caller holds its takeoff."""
    return connection.execute(select(_chunks).where(*holder(chunk)).with_for_update()).one_or_none()
