"""Receiving a takeoff into the store: in batches, so that it is never whole in memory, and all of it or nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.building.reading import Read
from service.domain.takeoff import Demand, NewTakeoff, Point
from service.store import TakeoffStore

_BATCH = 500
"""Splice points stored in one transaction: large enough to be quick, small enough to leave others their turn."""


class PointsRefused(Exception):
    """A strict takeoff has splice points that are not in order; ``points`` are the first of them, ``count`` is all."""

    def __init__(self, points: list[Point], count: int) -> None:
        self.points, self.count = points, count
        super().__init__(f"{count} splice points are not in order")


def receive(takeoffs: TakeoffStore, takeoff: NewTakeoff, reads: Iterable[Read], told_most: int = 1000) -> None:
    """Store a takeoff with its splice points, not yet started.

    Where anything is raised, nothing of it stays. A strict one with a faulty splice point is read to its end all the
    same, so that all faults are told: raises ``PointsRefused`` with up to ``told_most`` of the faulty points.
    """
    takeoffs.begin(takeoff)
    try:
        if takeoff.strict:
            reads = _strict(reads, told_most)
        points: list[Point] = []
        demands: list[Demand] = []
        for point, new in reads:
            points.append(point)
            if new is not None:
                demands.append(new)
            if len(points) >= _BATCH:
                takeoffs.add_batch(takeoff.id, points, demands)
                points, demands = [], []
        if points:
            takeoffs.add_batch(takeoff.id, points, demands)
    except BaseException:
        takeoffs.discard(takeoff.id)
        raise


def _strict(reads: Iterable[Read], told_most: int) -> Iterator[Read]:
    """The splice points up to the first that is not in order; the rest is gone through for its faults alone."""
    faulty: list[Point] = []
    count = 0
    for read in reads:
        if read.point.demand is None:
            count += 1
            if len(faulty) < told_most:
                faulty.append(read.point)
        elif not count:
            yield read
    if count:
        raise PointsRefused(faulty, count)
