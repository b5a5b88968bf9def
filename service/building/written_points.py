"""Splice points with what came of them as JSON, one by one or as many lines."""

from __future__ import annotations

from collections.abc import Iterator

import orjson

from service.building.renaming import own_answer, own_faults
from service.documents.takeoff import point_to
from service.domain.takeoff import PointResult
from service.store import PointFilter, TakeoffStore

_AT_ONCE = 100
_EVERY = PointFilter()


def point_written(result: PointResult) -> bytes:
    """A splice point as JSON, in its own names, with its plan where that was read."""
    point, answer = orjson.dumps(point_to(result, own_faults(result))), own_answer(result)
    return point if answer is None else b'%s,"plan":%s}' % (point[:-1], answer)


def point_lines(
    takeoffs: TakeoffStore, takeoff_id: str, which: PointFilter = _EVERY, whole: bool = True
) -> Iterator[bytes]:
    """All splice points in the order of their places, some lines at a time; ``whole``: with their plans."""
    after = 0
    while found := takeoffs.points(takeoff_id, after, _AT_ONCE, which, whole):
        yield b"".join(point_written(result) + b"\n" for result in found)
        after = found[-1].point.place
