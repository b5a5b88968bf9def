"""The lanes of a cable's fibres: spliced, stored (cut and parked), express (uncut)."""

from __future__ import annotations

from collections.abc import Iterator

from service.domain.catalogue import Cable
from service.domain.request import CableAtPoint, CableEnd
from service.domain.splices import Lanes, StoredEnds


class Lane:
    """Which fibre ends of one cable the joints have taken; an express cable has two ends of every fibre."""

    def __init__(self, at_point: CableAtPoint, cable: Cable) -> None:
        self.at_point = at_point
        self.cable = cable
        ends: tuple[CableEnd, ...] = ("in", "out") if at_point.express else ("in",)
        # One byte a fibre, numbered from 1, so that a whole range is tested and taken in one step.
        self.taken: dict[CableEnd, bytearray] = {end: bytearray(cable.fibres + 1) for end in ends}
        self._takers: list[tuple[CableEnd, int, int, str]] = []

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
        """Fibres that are cut at either end."""
        if len(self.taken) == 1:
            return self.taken["in"]
        return bytearray(a | b for a, b in zip(self.taken["in"], self.taken["out"], strict=True))

    def opened_tubes(self) -> tuple[int, ...]:
        """Tubes in which a fibre is cut, in order."""
        cut, size = self.cut(), self.cable.ribbon_fibres * self.cable.ribbons_per_tube
        return tuple(
            tube for tube in range(1, self.cable.tubes + 1) if cut.find(1, (tube - 1) * size + 1, tube * size + 1) >= 0
        )


def lane_ends(lane: Lane) -> Iterator[StoredEnds]:
    """The ends that are cut and parked, tube by tube.

    A cable that ends here is cut through, so every other fibre of an opened tube is parked. Of an express cable only
    what joints name is cut, and of that the end that no joint takes is parked.
    """
    cable = lane.cable
    express = lane.at_point.express
    cut = lane.cut() if express else None
    for tube in lane.opened_tubes():
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
