"""Parked ends in the trays of a hung closure: laid in, taken out to be spliced, cut back.

A record does not tell which ribbon of a tube lies parked in which tray, only how many do: a crew takes out the one that
it finds. With every end goes what it takes of the channel, so that a tray is charged for what lies in it and no more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from service.domain.installation import HungTray
from service.domain.plan import ParkedEnds


@dataclass(slots=True)
class _Group:
    """Alike parked ends of one tube: ribbons or fibres, how many, and what all of them take of the channel (µm²)."""

    cable: str
    tube: int
    by_ribbon: bool
    count: int
    um2: int


class Parking:
    """The trays of a closure while ends come and go; ``storage`` (µm²) and ``ribbons`` are kept by position."""

    def __init__(self, trays: Sequence[HungTray]) -> None:
        self.storage = {tray.position: as_um2(tray.storage_used_mm2) for tray in trays}
        self.ribbons = {tray.position: tray.ribbons for tray in trays}
        self._groups: dict[int, list[_Group]] = {tray.position: [] for tray in trays}
        for tray in trays:
            for ends in tray.parked:
                by_ribbon = ends.ribbons > 0
                count = ends.ribbons if by_ribbon else ends.fibres
                group = _Group(ends.cable, ends.tube, by_ribbon, count, as_um2(ends.storage_mm2))
                self._groups[tray.position].append(group)

    def open(self, position: int) -> None:
        """A new tray in the stack, with nothing in it."""
        self.storage[position], self.ribbons[position], self._groups[position] = 0, 0, []

    def park(self, position: int, cable: str, tube: int, by_ribbon: bool, count: int, um2: int) -> None:
        """Note ends that lie parked in a tray, which is charged for them already."""
        if not count:
            return
        for group in self._groups[position]:
            alike = (group.cable, group.tube, group.by_ribbon) == (cable, tube, by_ribbon)
            if alike and group.um2 * count == um2 * group.count:
                group.count, group.um2 = group.count + count, group.um2 + um2
                return
        self._groups[position].append(_Group(cable, tube, by_ribbon, count, um2))

    def take_out(self, cable: str, tube: int, fibres: int, whole_ribbon: bool, size: int, nearest: int) -> None:
        """Take so many parked fibres of a tube out of their trays, the one where they are spliced first.

        A ``whole_ribbon`` is looked for as one; of a ribbon of ``size`` fibres that is broken for some of them the
        others stay parked, and keep what the ribbon took of the channel.
        """
        if whole_ribbon:
            for position, group in self._of(cable, tube, True, nearest):
                self._drop(position, group, 1)
                return
        for position, group in self._of(cable, tube, False, nearest):
            taken = min(fibres, group.count)
            self._drop(position, group, taken)
            fibres -= taken
            if not fibres:
                return
        for position, group in self._of(cable, tube, True, nearest):
            while fibres and group.count:
                left = max(0, size - fibres)
                share = group.um2 // group.count
                self._drop(position, group, 1)
                if left:
                    self.storage[position] += share
                    self.park(position, cable, tube, False, left, share)
                fibres = max(0, fibres - size)
            if not fibres:
                return

    def only_tray(self, cable: str, tube: int, ribbons: int, fibres: int) -> int | None:
        """The tray in which all parked ends of a tube lie, where so many can be taken out of it and all lie alike."""
        positions = [
            position
            for position, groups in self._groups.items()
            if any((group.cable, group.tube) == (cable, tube) for group in groups)
        ]
        if len(positions) != 1:
            return None
        groups = [group for group in self._groups[positions[0]] if (group.cable, group.tube) == (cable, tube)]
        there = {by_ribbon: sum(g.count for g in groups if g.by_ribbon == by_ribbon) for by_ribbon in (True, False)}
        alike = all(group.um2 % group.count == 0 for group in groups)
        return positions[0] if alike and ribbons <= there[True] and fibres <= there[False] else None

    def cut_back(self, cable: str) -> None:
        """Take all parked ends of a cable out of their trays."""
        for position, groups in self._groups.items():
            for group in [each for each in groups if each.cable == cable]:
                self._drop(position, group, group.count)

    def tray(self, tray: HungTray) -> HungTray:
        """The tray as it is now; where no end is parked any more, the slots of parked ends are free."""
        position = tray.position
        parked = tuple(
            ParkedEnds(
                group.cable,
                group.tube,
                group.count if group.by_ribbon else 0,
                0 if group.by_ribbon else group.count,
                as_mm2(group.um2),
            )
            for group in self._groups[position]
        )
        banks = tray.banks if parked else tuple(replace(bank, parked=()) for bank in tray.banks)
        return replace(
            tray,
            banks=banks,
            parked=parked,
            storage_used_mm2=as_mm2(self.storage[position]),
            ribbons=self.ribbons[position],
        )

    def _of(self, cable: str, tube: int, by_ribbon: bool, nearest: int) -> Iterator[tuple[int, _Group]]:
        for position in sorted(self._groups, key=lambda each: (each != nearest, each)):
            for group in [*self._groups[position]]:
                if (group.cable, group.tube, group.by_ribbon) == (cable, tube, by_ribbon):
                    yield position, group

    def _drop(self, position: int, group: _Group, count: int) -> None:
        freed = group.um2 * count // group.count
        self.storage[position] -= freed
        self.ribbons[position] -= count if group.by_ribbon else 0
        group.count, group.um2 = group.count - count, group.um2 - freed
        if not group.count:
            self._groups[position].remove(group)


def as_um2(mm2: float) -> int:
    """Whole µm², as storage is counted."""
    return round(mm2 * 1e6)


def as_mm2(um2: int) -> float:
    """Whole µm² in mm²."""
    return round(um2 / 1e6, 6)
