"""Receiving a takeoff: its splice points come in batches, each stored as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, bindparam, insert, select, update

from service.domain.takeoff import Demand, NewTakeoff, Point
from service.store.errors import NotFound
from service.store.takeoffs.packed import compressed, faults_written, position_written, words_written
from service.store.takeoffs.removing import remove
from service.store.takeoffs.standing import tallies_written
from service.store.takeoffs.tables import DemandRow, PointRow, TakeoffRow
from service.store.teams import mine
from service.store.text import folded, written

_takeoffs = TakeoffRow.__table__
_demands = DemandRow.__table__
_counts = ("points", "demands", "judged", "planned", "done", "faulty", "fitting", "unfitting", "unproven")
_more = (
    update(DemandRow)
    .where(_demands.c.takeoff == bindparam("its_takeoff"), _demands.c.number == bindparam("its_number"))
    .values(points=_demands.c.points + bindparam("more"))
)


def begin(connection: Connection, takeoff: NewTakeoff) -> None:
    """Store a takeoff without any splice point yet."""
    connection.execute(
        insert(TakeoffRow),
        {
            "id": takeoff.id,
            "created": takeoff.created,
            "touched": takeoff.created,
            "name": takeoff.name,
            "folded": folded(takeoff.name),
            "tags": written(takeoff.tags),
            "strict": takeoff.strict,
            "closure_kinds_most": takeoff.closure_kinds_most,
            "catalogue_revision": takeoff.catalogue_revision,
            "version": takeoff.version,
            "recorded": tallies_written(takeoff.recorded),
            "state": "receiving",
            "chunk_demands": 1,
            "chunks_left": 0,
            **dict.fromkeys(_counts, 0),
        },
    )


def add(connection: Connection, takeoff_id: str, points: Sequence[Point], new: Sequence[Demand], now: datetime) -> None:
    """Store a batch of splice points and the demands that are ``new`` with it.

    The demands' own counts are not looked at: the splice points are counted here. Raises ``NotFound`` where no such
    takeoff is being received, and ValueError where demands are not numbered on, or a splice point has none of them.
    """
    receiving = select(_takeoffs.c.number, _takeoffs.c.demands)
    receiving = receiving.where(mine(connection, _takeoffs), _takeoffs.c.id == takeoff_id)
    receiving = receiving.where(_takeoffs.c.state == "receiving").with_for_update()
    takeoff = connection.execute(receiving).one_or_none()
    if takeoff is None:
        raise NotFound("No such takeoff is being received.")
    number, known = takeoff
    asked = Counter(point.demand for point in points if point.demand is not None)
    if [each.number for each in new] != list(range(known + 1, known + len(new) + 1)):
        raise ValueError("new demands are to be numbered on from those that are there")
    if asked and not 1 <= min(asked) <= max(asked) <= known + len(new):
        raise ValueError("a splice point has a demand that is not there")
    if new:
        rows = [(each.number, asked[each.number], compressed(each.request)) for each in new]
        names = ("takeoff", "number", "points", "request")
        connection.execute(insert(DemandRow), [dict(zip(names, (number, *row), strict=True)) for row in rows])
    again = [{"its_number": key, "its_takeoff": number, "more": n} for key, n in asked.items() if key <= known]
    if again:
        connection.execute(_more, again)
    if points:
        connection.execute(insert(PointRow), [_row(number, point) for point in points])
    faulty = sum(point.demand is None for point in points)
    connection.execute(
        update(TakeoffRow)
        .where(mine(connection, _takeoffs), _takeoffs.c.number == number)
        .values(
            touched=now,
            points=_takeoffs.c.points + len(points),
            demands=_takeoffs.c.demands + len(new),
            faulty=_takeoffs.c.faulty + faulty,
            done=_takeoffs.c.done + faulty,
        )
    )


def _row(takeoff: int, point: Point) -> dict[str, object]:
    return {
        "takeoff": takeoff,
        "place": point.place,
        "line": point.line,
        "name": point.name,
        "tags": dict(point.tags),
        "demand": point.demand,
        "names": words_written(point.names),
        "faults": faults_written(point.faults),
        "position": position_written(point.position),
    }


def forget_abandoned(connection: Connection, before: datetime) -> int:
    """Remove the takeoffs that nothing was received of since ``before`` and that were never started; how many."""
    left = mine(connection, _takeoffs), _takeoffs.c.state == "receiving", _takeoffs.c.touched < before
    numbers = connection.scalars(select(_takeoffs.c.number).where(*left)).all()
    for number in numbers:
        remove(connection, number)
    return len(numbers)
