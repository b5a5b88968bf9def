"""The splice points of a takeoff with what came of them, in the order of their places."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import orjson
from sqlalchemy import Connection, Select, and_, select

from service.domain.takeoff import Point, PointResult
from service.store.errors import NotFound
from service.store.takeoffs.packed import expanded, faults_read, position_read
from service.store.takeoffs.tables import PointRow, ResultRow
from service.store.text import keepable

_points = PointRow.__table__
_results = ResultRow.__table__
_results_of = and_(_results.c.takeoff == _points.c.takeoff, _results.c.number == _points.c.demand)
_point = [_points.c[name] for name in Point.__dataclass_fields__]
_result = [_results.c[name] for name in ("number", "fits", "closure", "splices", "trays", "optimal", "faults")]


@dataclass(frozen=True, slots=True)
class PointFilter:
    """Which splice points to list; a member that is None does not narrow it.

    ``faulty``: those with faults, of reading or of planning, or those without. ``tag`` is a name with its value.
    """

    fits: bool | None = None
    faulty: bool | None = None
    closure: str | None = None
    tag: tuple[str, str] | None = None

    def possible(self) -> bool:
        """Whether any splice point can match at all."""
        texts = (self.closure or "", *(self.tag or ()))
        return all(keepable(text) for text in texts) and not set('"\\') & set(self.tag[0] if self.tag else "")

    def narrowed(self, query: Select[Any]) -> Select[Any]:
        """The query with these conditions."""
        if self.fits is not None:
            query = query.where(_results.c.fits.is_(self.fits))
        if self.faulty is not None:
            faulty = _points.c.demand.is_(None) | _results.c.faults.is_not(None)
            query = query.where(faulty if self.faulty else ~faulty)
        if self.closure is not None:
            query = query.where(_results.c.closure == self.closure)
        if self.tag is not None:
            query = query.where(PointRow.tags[self.tag[0]].as_string() == self.tag[1])
        return query


def listed(
    connection: Connection, takeoff: int, after: int, limit: int, which: PointFilter, answers: bool
) -> list[PointResult]:
    """Up to ``limit`` splice points from behind the place ``after``; with their answers where asked."""
    if not which.possible():
        return []
    query = which.narrowed(_query(takeoff, answers)).where(_points.c.place > after)
    return [_read(row, answers) for row in connection.execute(query.order_by(_points.c.place).limit(limit))]


def fetch(connection: Connection, takeoff: int, place: int) -> PointResult:
    """The splice point at a place with its answer; raises ``NotFound``."""
    possible = 0 < place < 2**31
    query = _query(takeoff, answers=True).where(_points.c.place == place)
    row = connection.execute(query).one_or_none() if possible else None
    if row is None:
        raise NotFound("There is no such splice point in the takeoff.")
    return _read(row, answers=True)


def _query(takeoff: int, answers: bool) -> Select[Any]:
    columns = [*_point, *_result, _results.c.answer] if answers else [*_point, *_result]
    joined = _points.outerjoin(_results, _results_of)
    return select(*columns).select_from(joined).where(_points.c.takeoff == takeoff)


def _read(row: Any, answers: bool) -> PointResult:
    place, line, name, tags, demand, names, faults, position, number, *result = row
    point = Point(place, line, name, tags, demand, orjson.loads(names), faults_read(faults), position_read(position))
    if number is None:
        return PointResult(point, done=demand is None, faults=point.faults)
    fits, closure, splices, trays, optimal, refused, *blob = result
    answer = expanded(blob[0]) if answers and blob[0] is not None else None
    return PointResult(point, True, fits, closure, splices, trays, optimal, faults_read(refused), answer)
