"""Fillings of one tray where bundles may be cut: which lie in it whole, and which in part.

Two facts keep them few. Splices of one likeness may be exchanged, so a tray need hold an unfinished item of each
likeness at most once; and splices may be moved up from later trays, so a tray that holds an unfinished item is full
for that likeness. A filling may also not leave out a bundle that would still fit whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.planning.packing.budget import Budget
from service.planning.packing.case import CUT, LOOSE, UNLIMITED, WHOLE, Case
from service.planning.packing.measures import shared_by, shares_of
from service.planning.packing.search import STEPS_A_NODE
from service.planning.packing.settings import Vector

Entry = tuple[int, int, int]
"""(likeness, size that is left, how it may be divided)."""
Pool = tuple[tuple[Entry, int], ...]
"""Entries and how many there are of each, the hardest first."""
Share = tuple[Entry, int, int]
"""(entry, splices of it laid into the tray, how many times)."""


def arranged(case: Case, entries: Sequence[tuple[Entry, int]]) -> Pool:
    """The hardest entries first: label after label, then the largest; what may be divided at will comes last."""
    likenesses = case.likenesses

    def order(pair: tuple[Entry, int]) -> tuple[bool, bool, int, int, Entry]:
        alike = likenesses[pair[0][0]]
        label = -1 if alike.label is None else alike.label
        return (pair[0][2] == LOOSE, alike.label is None, label, -pair[0][1] * alike.slots, pair[0])

    return tuple(sorted(entries, key=order))


class Cutter:
    """Lists fillings. ``widest`` is the most splices of each likeness that any tray of the mix takes."""

    def __init__(self, case: Case, widest: Sequence[int], budget: Budget) -> None:
        self.case = case
        self.widest = widest
        self.budget = budget
        share = shares_of(case) or (0,) * case.columns
        self.gives = shared_by(case, share)
        self.counted = tuple([alike.slots * share[alike.column] for alike in case.likenesses])

    def fillings(
        self, pool: Pool, berth: int, given: Vector, spare_pieces: int, slack: int
    ) -> Iterator[tuple[list[Share], Pool, int]]:
        """Fillings of one tray that hold some of the pool's first entry: (shares, what is left, pieces).

        ``spare_pieces``: how many cuts may be made beyond those that must be. ``slack``: how many slots may stay
        unused, each counted by its share of the largest tray; emptier fillings are left out.
        """
        present = [
            place
            for place, ((alike, _, _), _) in enumerate(pool)
            if self.case.likenesses[alike].storage[berth] is not None
        ]
        if present and present[0] == 0:
            tray = TrayBeingCut(self, pool, present, berth, given)
            # Needless cuts come last: the fewer trays are left, the fewer ways there are to go on after one.
            yield from tray.fillings(0, slack)
            if spare_pieces:
                yield from tray.fillings(spare_pieces, slack)


class TrayBeingCut:
    """One empty tray, and what is laid into it for a try."""

    def __init__(self, cutter: Cutter, pool: Pool, present: Sequence[int], berth: int, given: Vector) -> None:
        self.case = cutter.case
        self.widest = cutter.widest
        self.budget = cutter.budget
        self.counted = cutter.counted
        self.unused = cutter.gives[berth]
        self.pool = pool
        self.present = present
        self.berth = berth
        tray = self.case.berths[berth]
        self.label = tray.label
        self.free = list(given)
        self.stock = [tray.storage or 0, tray.ribbons or 0]
        self.limits = (tray.storage is not None, tray.ribbons is not None)
        self.wholes = [0] * len(pool)
        self.partial: dict[int, tuple[int, int]] = {}  # likeness: (place in the pool, splices)
        self.cuttable: list[int] = []
        self.steps = 0
        # Only what is larger than the widest tray can be cut without a piece more than it takes anyway.
        self.must_cut = False
        # What all later entries together could still fill, to cut off fillings that waste too many slots.
        self.behind = [0] * (len(present) + 1)
        for number in range(len(present) - 1, -1, -1):
            (alike, size, cut), count = pool[present[number]]
            self.behind[number] = self.behind[number + 1] + count * size * self.counted[alike]
        for place in present:
            (alike, size, cut), _ = pool[place]
            if cut == CUT:
                self.must_cut = self.must_cut or size > self.widest[alike]
                if alike not in self.cuttable:
                    self.cuttable.append(alike)

    def fillings(self, needless: int, slack: int) -> Iterator[tuple[list[Share], Pool, int]]:
        """Fillings with no needless cut, or where ``needless`` is not 0 with at least one and at most so many."""
        rigid = not needless and not self.must_cut
        for label in self.with_wholes(0, self.label, slack if rigid else UNLIMITED):
            self.budget.spend(1 + len(self.present) // 12)
            for final, left in self.with_partials(0, label, needless):
                if (needless and left == needless) or slack < self.unused:
                    continue
                if not self.wholes[0] and not any(place == 0 for place, _ in self.partial.values()):
                    continue
                if not any(self.room(alike, final) > 0 for alike in self.partial) and not self.could_join(final):
                    yield self.outcome()

    def could_join(self, label: int | None) -> bool:
        """Whether a bundle that is left over would still fit whole."""
        taken = {place for place, _ in self.partial.values()}
        pool = self.pool
        return any(
            pool[place][1] > self.wholes[place] + (place in taken)
            and self.room(pool[place][0][0], label) >= pool[place][0][1]
            for place in self.present
        )

    def room(self, alike: int, label: int | None) -> int:
        """How many splices of a likeness still fit."""
        likeness = self.case.likenesses[alike]
        if likeness.label is not None and label is not None and likeness.label != label:
            return 0
        most = UNLIMITED
        if likeness.slots:
            most = self.free[likeness.column] // likeness.slots
        stored = likeness.storage[self.berth]
        if self.limits[0] and stored:
            most = min(most, self.stock[0] // stored)
        if self.limits[1] and likeness.ribbons:
            most = min(most, self.stock[1] // likeness.ribbons)
        return most

    def lay(self, alike: int, splices: int) -> None:
        """Lay splices into the tray, or take them out again where ``splices`` is negative."""
        likeness = self.case.likenesses[alike]
        self.free[likeness.column] -= splices * likeness.slots
        self.unused -= splices * self.counted[alike]
        self.stock[0] -= splices * (likeness.storage[self.berth] or 0)
        self.stock[1] -= splices * likeness.ribbons

    def step(self) -> None:
        """Count a step of the search."""
        self.steps += 1
        if self.steps % STEPS_A_NODE == 0:
            self.budget.spend()

    def with_wholes(self, number: int, label: int | None, slack: int) -> Iterator[int | None]:
        """Every choice of whole bundles from the ``number``-th entry on; yields the tray's label."""
        self.step()
        if slack < self.unused - self.behind[number]:
            return
        if number == len(self.present):
            yield label
            return
        place = self.present[number]
        (alike, size, _), count = self.pool[place]
        most = min(count, self.room(alike, label) // size)
        own = self.case.likenesses[alike].label
        for some in range(most, -1, -1):
            self.wholes[place] = some
            self.lay(alike, some * size)
            yield from self.with_wholes(number + 1, own if some and own is not None else label, slack)
            self.lay(alike, -some * size)
        self.wholes[place] = 0

    def with_partials(self, number: int, label: int | None, needless: int) -> Iterator[tuple[int | None, int]]:
        """Every choice of bundles in part beside them; yields the tray's label and how many needless cuts are left."""
        self.step()
        if number == len(self.cuttable) or (not needless and not self.must_cut):
            yield label, needless
            return
        yield from self.with_partials(number + 1, label, needless)
        alike = self.cuttable[number]
        most = self.room(alike, label)
        if not most:
            return
        widest = self.widest[alike]
        own = self.case.likenesses[alike].label
        for place in self.present:
            (other, size, cut), count = self.pool[place]
            if other != alike or cut != CUT or self.wholes[place] == count:
                continue
            for splices in range(min(most, size - 1), 0, -1):
                dearer = 1 - (-(size - splices) // widest) + (-size // widest)
                if dearer > needless:
                    continue
                if splices < most and not self.must_cut and dearer == needless:
                    break  # No other cut is left to fill the room that this one leaves to its own likeness.
                self.partial[alike] = (place, splices)
                self.lay(alike, splices)
                yield from self.with_partials(number + 1, own if own is not None else label, needless - dearer)
                self.lay(alike, -splices)
                del self.partial[alike]

    def outcome(self) -> tuple[list[Share], Pool, int]:
        """The shares of the filling, the pool that is left and the pieces used."""
        pool = self.pool
        shares: list[Share] = []
        rest = dict(pool)
        cost = 0
        for place, some in enumerate(self.wholes):
            if some:
                entry = pool[place][0]
                shares.append((entry, entry[1], some))
                rest[entry] -= some
                if entry[2] != LOOSE:
                    cost += some
        for place, splices in self.partial.values():
            entry = pool[place][0]
            shares.append((entry, splices, 1))
            rest[entry] -= 1
            smaller = (entry[0], entry[1] - splices, CUT if entry[1] - splices > 1 else WHOLE)
            rest[smaller] = rest.get(smaller, 0) + 1
            cost += 1
        return shares, arranged(self.case, [(entry, count) for entry, count in rest.items() if count]), cost
