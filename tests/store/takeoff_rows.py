"""Small takeoffs for tests of the store."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

from service.domain.takeoff import Chunk, Demand, DemandResult, NewTakeoff, Point
from service.store import Store

MOMENT = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)


def new_takeoff(**different: Any) -> NewTakeoff:
    """A takeoff to begin with, under an id of its own."""
    values: dict[str, Any] = {"id": uuid4().hex, "created": MOMENT, "name": "Ferrow build", "catalogue_revision": 0}
    return NewTakeoff(**{**values, "version": "1", **different})


def demand(number: int) -> Demand:
    """A demand whose request says its number."""
    return Demand(number, b'{"demand": %d}' % number)


def point(place: int, of: int | None, **different: Any) -> Point:
    """The splice point at a place, in the line of that number."""
    return Point(place, place, f"point {place}", demand=of, names={"<1>": f"T{place}"}, **different)


def received(store: Store, demands: int, repeats: int = 1, **different: Any) -> str:
    """A takeoff of ``demands`` times ``repeats`` splice points that is received and not started; its id."""
    takeoff = new_takeoff(**different)
    store.takeoffs.begin(takeoff)
    points = [point(place, (place - 1) % demands + 1) for place in range(1, demands * repeats + 1)]
    store.takeoffs.add_batch(takeoff.id, points, [demand(number) for number in range(1, demands + 1)])
    return takeoff.id


def started(store: Store, demands: int, repeats: int = 1, **different: Any) -> str:
    """The same, started."""
    takeoff_id = received(store, demands, repeats, **different)
    assert store.takeoffs.start(takeoff_id) is None
    return takeoff_id


def result(number: int, **different: Any) -> DemandResult:
    """A result that fits."""
    return DemandResult(
        **{
            "number": number,
            "fits": True,
            "closure": "dome-24",
            "splices": 6,
            "trays": 2,
            "optimal": True,
            "answer": b'{"planned":%d}' % number,
            **different,
        }
    )


def results(chunk: Chunk) -> Sequence[DemandResult]:
    """A result for each demand of a chunk."""
    return [result(number) for number in range(chunk.first, chunk.last + 1)]


TOTALS = '{"totals":"12 µm"}'.encode()


def worked_off(store: Store, worker: str = "worker") -> int:
    """Plan every chunk there is and add up (``TOTALS``); returns how many were planned."""
    chunks = 0
    while chunk := store.takeoffs.work.lease(worker):
        if chunk.stage == "adding_up":
            assert store.takeoffs.work.bring_added_up(chunk, TOTALS)
            continue
        assert store.takeoffs.work.bring_planned(chunk, results(chunk))
        chunks += 1
    return chunks
