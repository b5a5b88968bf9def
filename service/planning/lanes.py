"""The lanes of a cable's fibres: spliced, stored (cut and parked), express (uncut).

Of a cable that hangs already, what was cut and spliced before counts in its lanes, but only what is cut now is parked.
"""

from __future__ import annotations

from collections.abc import Iterator

from service.domain.catalogue import Cable
from service.domain.request import CableAtPoint, CableEnd, Ranges
from service.domain.splices import Lanes, StoredEnds

BEFORE = "a splice that lies in the closure"


class Lane:
    """Which fibre ends of one cable the joints have taken; an express cable has two ends of every fibre."""

    def __init__(self, at_point: CableAtPoint, cable: Cable) -> None:
        self.at_point = at_point
        self.cable = cable
        ends: tuple[CableEnd, ...] = ("in", "out") if at_point.express else ("in",)
        # One byte a fibre, numbered from 1, so that a whole range is tested and taken in one step.
        self.taken: dict[CableEnd, bytearray] = {end: bytearray(cable.fibres + 1) for end in ends}
        self._takers: list[tuple[CableEnd, int, int, str]] = []
        # What was cut before; None where the cable is new, which has had nothing cut.
        self.before: bytearray | None = None
        if at_point.hanging is not None:
            self.before = self._cut_before(at_point.hanging.cut)
            spliced: dict[CableEnd, Ranges] = {"in": at_point.hanging.spliced, "out": at_point.hanging.spliced_out}
            for end in ends:
                for first, last in _within(spliced[end], cable.fibres):
                    self._mark(self.before, first, last)
                    self._mark(self.taken[end], first, last)
                    self._takers.append((end, first, last, BEFORE))
            self.before = self._whole(self.before)

    def _cut_before(self, cut: Ranges) -> bytearray:
        marked = bytearray(self.cable.fibres + 1)
        for first, last in _within(cut, self.cable.fibres):
            self._mark(marked, first, last)
        return marked

    @staticmethod
    def _mark(fibres: bytearray, first: int, last: int) -> None:
        fibres[first : last + 1] = b"\x01" * (last - first + 1)

    def _whole(self, cut: bytearray) -> bytearray:
        """Of a cable that ends here, every fibre of the tubes that have a cut one."""
        if self.at_point.express:
            return cut
        whole = bytearray(len(cut))
        for tube in self._tubes_with(cut):
            self._mark(whole, *self._fibres_of_tube(tube))
        return whole

    def _fibres_of_tube(self, tube: int) -> tuple[int, int]:
        size = self.cable.ribbon_fibres * self.cable.ribbons_per_tube
        return (tube - 1) * size + 1, min(tube * size, self.cable.fibres)

    def _tubes_with(self, marked: bytearray) -> tuple[int, ...]:
        tubes = range(1, self.cable.tubes + 1)
        return tuple(tube for tube in tubes if marked.find(1, *_span(self._fibres_of_tube(tube))) >= 0)

    def fibres_of_ribbons(self, first: int, last: int) -> tuple[int, int]:
        """The fibres from the first of one ribbon to the last of another."""
        size = self.cable.ribbon_fibres
        return (first - 1) * size + 1, min(last * size, self.cable.fibres)

    def take(self, end: CableEnd, first: int, last: int, taker: str) -> tuple[int, str] | None:
        """Take fibres first..last of an end; or tell the first that is taken already, and by whom."""
        taken = self.taken[end]
        clash = taken.find(1, first, last + 1)
        if clash >= 0:
            for other_end, a, b, other in self._takers:
                if other_end == end and a <= clash <= b:
                    return clash, "the same range" if other == taker else other
        taken[first : last + 1] = b"\x01" * (last - first + 1)
        self._takers.append((end, first, last, taker))
        return None

    def cut(self) -> bytearray:
        """Fibres that are cut at either end, now or before; of a cable that ends here, those that are spliced."""
        every = [*self.taken.values()] if self.before is None else [*self.taken.values(), self.before]
        return every[0] if len(every) == 1 else bytearray(map(max, *every))

    def opened_tubes(self) -> tuple[int, ...]:
        """Tubes in which a fibre is cut, in order."""
        return self._tubes_with(self.cut())

    def tubes_opened_now(self) -> tuple[int, ...]:
        """Tubes in which a fibre is cut now and none was before, in order."""
        if self.before is None:
            return self.opened_tubes()
        opened = set(self._tubes_with(self.before))
        return tuple(tube for tube in self.opened_tubes() if tube not in opened)

    def tubes_cut_now(self) -> tuple[int, ...]:
        """Tubes in which a fibre is cut now, which were perhaps opened before; of a cable that ends here, all of it."""
        if not self.at_point.express:
            return self.tubes_opened_now()
        return self._tubes_with(self.cut_now())

    def cut_now(self) -> bytearray:
        """Fibres of an express cable that are cut now and were not before."""
        if self.before is None:
            return self.cut()
        return bytearray(cut & ~was & 1 for cut, was in zip(self.cut(), self.before, strict=True))

    def takes_parked(self) -> bool:
        """Whether joints take ends that were cut before and lie parked in a tray."""
        if self.before is None or self.at_point.hanging is None:
            return False
        hanging = self.at_point.hanging
        spliced: dict[CableEnd, Ranges] = {"in": hanging.spliced, "out": hanging.spliced_out}
        for end, taken in self.taken.items():
            was = bytearray(len(taken))
            for first, last in _within(spliced[end], self.cable.fibres):
                self._mark(was, first, last)
            if any(now and not then and cut for now, then, cut in zip(taken, was, self.before, strict=True)):
                return True
        return False


def _within(ranges: Ranges, fibres: int) -> Iterator[tuple[int, int]]:
    """Ranges that the cable has; others are faults that are told elsewhere."""
    return ((first, last) for first, last in ranges if 1 <= first <= last <= fibres)


def _span(closed: tuple[int, int]) -> tuple[int, int]:
    return closed[0], closed[1] + 1


def lane_ends(lane: Lane) -> Iterator[StoredEnds]:
    """The ends that are cut and parked, tube by tube.

    A cable that ends here is cut through, so every other fibre of an opened tube is parked. Of an express cable only
    what joints name is cut, and of that the end that no joint takes is parked. What was cut before lies in trays.
    """
    cable = lane.cable
    express = lane.at_point.express
    cut = lane.cut_now() if express else None
    for tube in lane.tubes_cut_now():
        first_ribbon = (tube - 1) * cable.ribbons_per_tube + 1
        last_ribbon = min(tube * cable.ribbons_per_tube, cable.ribbons)
        for end, taken in lane.taken.items():
            ribbons: list[int] = []
            fibres: list[int] = []
            for ribbon in range(first_ribbon, last_ribbon + 1):
                first, last = lane.fibres_of_ribbons(ribbon, ribbon)
                if taken.find(0, first, last + 1) < 0:
                    continue
                parked = [f for f in range(first, last + 1) if not taken[f] and (cut is None or cut[f])]
                if len(parked) == last - first + 1 and cable.ribbon_form != "loose" and len(parked) > 1:
                    ribbons.append(ribbon)
                else:
                    fibres.extend(parked)
            if ribbons or fibres:
                yield StoredEnds(lane.at_point.tag, tube, end, tuple(ribbons), tuple(fibres))


def lane_summary(lane: Lane) -> Lanes:
    """How many fibre ends of the cable go each way."""
    opened = lane.opened_tubes()
    spliced = sum(taken.count(1) for taken in lane.taken.values())
    cable = lane.cable
    if lane.at_point.express:
        cut = lane.cut().count(1)
        return Lanes(
            lane.at_point.tag, spliced, 2 * cut - spliced, cable.fibres - cut, opened, cable.tubes - len(opened)
        )
    size = cable.ribbon_fibres * cable.ribbons_per_tube
    in_opened = sum(min(tube * size, cable.fibres) - (tube - 1) * size for tube in opened)
    return Lanes(lane.at_point.tag, spliced, in_opened - spliced, 0, opened, 0)
