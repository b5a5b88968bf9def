"""Where takeoffs stand, one of them and the list."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import orjson
from sqlalchemy import Connection, literal, select, tuple_

from service.documents.rework import tallies_from, tallies_to
from service.domain.records import Tally
from service.domain.takeoff import State, TakeoffStatus
from service.store.errors import NotFound
from service.store.moments import Moment
from service.store.takeoffs.tables import TakeoffRow
from service.store.teams import mine
from service.store.text import contains, keepable, read

_table = TakeoffRow.__table__
_names = tuple(TakeoffStatus.__dataclass_fields__)
_status = select(*(_table.c[name] for name in _names))


@dataclass(frozen=True, slots=True)
class TakeoffFilter:
    """Which takeoffs to list; a member that is None does not narrow it. ``name``: a part of the name in either case."""

    state: State | None = None
    name: str | None = None


def fetch(connection: Connection, takeoff_id: str) -> TakeoffStatus:
    """Where a takeoff stands; raises ``NotFound``."""
    query = _status.where(mine(connection, _table), _table.c.id == takeoff_id)
    row = connection.execute(query).one_or_none() if keepable(takeoff_id) else None
    if row is None:
        raise NotFound("There is no such takeoff.")
    return _read(row)


def by_number(connection: Connection, number: int) -> tuple[int, TakeoffStatus]:
    """Where a takeoff stands, by its number, and the team that it belongs to."""
    its = mine(connection, _table), _table.c.number == number
    team = connection.scalars(select(_table.c.team).where(*its)).one()
    return team, _read(connection.execute(_status.where(*its)).one())


def number_of(connection: Connection, takeoff_id: str) -> int:
    """The number that a takeoff's rows go by; raises ``NotFound``."""
    number: int | None = None
    if keepable(takeoff_id):
        query = select(_table.c.number).where(mine(connection, _table), _table.c.id == takeoff_id)
        number = connection.scalars(query).one_or_none()
    if number is None:
        raise NotFound("There is no such takeoff.")
    return number


def listed(
    connection: Connection, limit: int, after: tuple[datetime, str] | None, which: TakeoffFilter
) -> list[TakeoffStatus]:
    """Up to ``limit`` takeoffs, the newest first, from behind the one of this time and id."""
    texts = (which.name, after[1] if after else None)
    if not all(keepable(text) for text in texts if text is not None):
        return []
    query = _status.where(mine(connection, _table))
    if which.state is not None:
        query = query.where(_table.c.state == which.state)
    if which.name:
        query = query.where(contains(TakeoffRow.folded, which.name))
    if after is not None:
        place = tuple_(literal(after[0], Moment), literal(after[1]))
        query = query.where(tuple_(_table.c.created, _table.c.id) < place)
    rows = connection.execute(query.order_by(_table.c.created.desc(), _table.c.id.desc()).limit(limit))
    return [_read(row) for row in rows]


def _read(row: Any) -> TakeoffStatus:
    values = dict(zip(_names, row, strict=True))
    values["tags"] = read(values["tags"])
    values["chosen"] = codes_read(values["chosen"])
    values["recorded"] = tallies_read(values["recorded"])
    return TakeoffStatus(**values)


def tallies_written(tallies: tuple[Tally, ...]) -> str | None:
    """Tallies as JSON; None where there are none, as in takeoffs from before there were records."""
    return orjson.dumps(tallies_to(tallies)).decode() if tallies else None


def tallies_read(text: str | None) -> tuple[Tally, ...]:
    """What ``tallies_written`` wrote."""
    return () if text is None else tallies_from(orjson.loads(text))


def codes_read(text: str | None) -> tuple[str, ...] | None:
    """Codes kept one a line; None where none were kept."""
    return None if text is None else tuple(text.split("\n")) if text else ()
