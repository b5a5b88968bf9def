"""Lists of hung closures, the newest first, by name, closure, or how near they are."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any

from sqlalchemy import Connection, Select, literal, select, tuple_

from service.domain.distance import Position, kilometres, latitude_band
from service.domain.installation_summary import InstallationSummary
from service.store.installations.tables import InstallationRow
from service.store.moments import Moment
from service.store.teams import mine
from service.store.text import contains, keepable

_table = InstallationRow.__table__
_summary = [_table.c[name] for name in InstallationSummary.__dataclass_fields__]


@dataclass(frozen=True, slots=True)
class Near:
    """Within so many km of a position, as the crow flies."""

    position: Position
    within_km: float


@dataclass(frozen=True, slots=True)
class InstallationFilter:
    """Which installations to list; a member that is None does not narrow it.

    ``name`` is a part of the name or the place in any case. Where no coordinates are known nothing is ``near``.
    """

    name: str | None = None
    closure: str | None = None
    near: Near | None = None


def listed(
    connection: Connection, limit: int, after: tuple[datetime, str] | None, which: InstallationFilter
) -> list[InstallationSummary]:
    """Up to ``limit`` installations, the newest first, from behind the installation of this time and id."""
    texts = (which.name, which.closure, after[1] if after else None)
    if not all(keepable(text) for text in texts if text is not None):
        return []
    query: Select[Any] = select(*_summary).where(mine(connection, _table))
    if which.closure is not None:
        query = query.where(_table.c.closure == which.closure)
    if which.name:
        query = query.where(contains(InstallationRow.folded, which.name))
    if after is not None:
        place = tuple_(literal(after[0], Moment), literal(after[1]))
        query = query.where(tuple_(_table.c.created, _table.c.id) < place)
    query = query.order_by(_table.c.created.desc(), _table.c.id.desc())
    if which.near is not None:
        return list(islice(_within(connection, query, which.near), limit))
    return [InstallationSummary(*row) for row in connection.execute(query.limit(limit))]


def _within(connection: Connection, query: Select[Any], near: Near) -> Iterator[InstallationSummary]:
    """Of the rows in the band of latitudes, those that are near enough: no database knows the distance by itself."""
    south, north = latitude_band(near.position, near.within_km)
    query = query.where(_table.c.latitude.between(south, north), _table.c.longitude.is_not(None))
    with connection.execution_options(yield_per=500).execute(query) as rows:
        for row in rows:
            summary = InstallationSummary(*row)
            assert summary.latitude is not None and summary.longitude is not None
            if kilometres(near.position, Position(summary.latitude, summary.longitude)) <= near.within_km:
                yield summary
