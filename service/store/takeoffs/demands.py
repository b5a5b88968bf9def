"""The demands of a takeoff, in the order of their numbers: requests, judgements, answers."""

from __future__ import annotations

import orjson
from sqlalchemy import Connection, and_, select

from service.domain.takeoff import Chunk, Demand, DemandAnswer, Judged
from service.store.takeoffs.packed import expanded
from service.store.takeoffs.tables import DemandRow, JudgedRow, ResultRow, TakeoffRow

_demands = DemandRow.__table__
_results = ResultRow.__table__
_judged = JudgedRow.__table__
_takeoffs = TakeoffRow.__table__


def of_chunk(connection: Connection, chunk: Chunk) -> list[Demand]:
    """The demands that a chunk is to work on."""
    query = (
        select(_demands.c.number, _demands.c.request, _demands.c.points)
        .join(_takeoffs, _takeoffs.c.number == _demands.c.takeoff)
        .where(_takeoffs.c.id == chunk.takeoff, _demands.c.number.between(chunk.first, chunk.last))
    )
    rows = connection.execute(query.order_by(_demands.c.number))
    return [Demand(number, expanded(request), points) for number, request, points in rows]


def answered(connection: Connection, takeoff: int, after: int, limit: int) -> list[DemandAnswer]:
    """Up to ``limit`` demands that have an answer, from behind the number ``after``."""
    same = and_(_demands.c.takeoff == _results.c.takeoff, _demands.c.number == _results.c.number)
    query = (
        select(_results.c.number, _demands.c.points, _results.c.fits, _results.c.answer)
        .join(_demands, same)
        .where(_results.c.takeoff == takeoff, _results.c.number > after, _results.c.answer.is_not(None))
    )
    rows = connection.execute(query.order_by(_results.c.number).limit(limit))
    return [DemandAnswer(number, points, fits, expanded(answer)) for number, points, fits, answer in rows]


def judged(connection: Connection, takeoff: int, after: int, limit: int) -> list[Judged]:
    """Up to ``limit`` judged demands from behind the number ``after``."""
    same = and_(_demands.c.takeoff == _judged.c.takeoff, _demands.c.number == _judged.c.number)
    query = (
        select(_judged.c.number, _judged.c.closures, _demands.c.points)
        .join(_demands, same)
        .where(_judged.c.takeoff == takeoff, _judged.c.number > after)
    )
    rows = connection.execute(query.order_by(_judged.c.number).limit(limit))
    return [Judged(number, orjson.loads(closures), points) for number, closures, points in rows]
