"""The exact search for pieces: whether all goes into given trays with at most so many pieces.

As the search for room, tray by tray from the hardest entry on, with two more facts. Splices of one likeness may be
exchanged, so a tray need hold an unfinished item of each likeness at most once; and splices may be moved up from later
trays, so a tray that holds an unfinished item is full for that likeness. A filling may also not leave out a bundle
that would still fit whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import CUT, LOOSE, UNLIMITED, WHOLE, Case
from service.planning.packing.coverage import less
from service.planning.packing.drafts import reserve_kept
from service.planning.packing.lots import lots_for_pieces
from service.planning.packing.measures import Measure
from service.planning.packing.mixes import Mix
from service.planning.packing.search import DEEPEST, STEPS_A_NODE, Openings
from service.planning.packing.settings import Vector

Entry = tuple[int, int, int]
"""(likeness, size that is left, how it may be divided)."""
Pool = tuple[tuple[Entry, int], ...]
"""Entries and how many there are of each, the hardest first."""
Share = tuple[Entry, int, int]
"""(entry, splices of it laid into the tray, how many times)."""
FoundPieces = list[tuple[int, Vector, list[Share]]]
"""(berth, setting, shares) of the trays that hold something, the first tray filled coming first."""


class PieceSearch:
    """Looks for a packing of one mix that opens no more hanging trays of each berth than ``usable`` says."""

    def __init__(self, case: Case, measures: Sequence[Measure], mix: Mix, usable: Openings, budget: Budget) -> None:
        self.case = case
        self.budget = budget
        self.measures = measures
        self.mix = mix
        self.closed = tuple([len(b.hanging) - n for b, n in zip(case.berths, usable, strict=False)])
        self.free = tuple([len(b.hanging) for b in case.berths[: case.bought_from]]) + mix
        self.pool: Pool = tuple([((lot.alike, lot.size, lot.cut), lot.count) for lot in lots_for_pieces(case)])
        self.widest = tuple(
            max([most for most, count in zip(alike.most, self.free, strict=True) if count], default=0)
            for alike in case.likenesses
        )
        implied = list(case.used)
        for (alike, size, _), count in self.pool:
            implied[case.likenesses[alike].column] -= size * count * case.likenesses[alike].slots
        self.tracked = case.needed != case.used or any(implied)
        self.failed: dict[tuple[Pool, tuple[int, ...], Vector], int] = {}

    def fewest(self, pool: Pool) -> int:
        """Pieces that the pool takes at least: what is larger than the widest tray must be cut."""
        pieces = 0
        for (alike, size, cut), count in pool:
            if cut == WHOLE:
                pieces += count
            elif cut == CUT:
                widest = self.widest[alike]
                pieces += count * (-(-size // widest) if widest else UNLIMITED)
        return pieces

    def run(self, pieces: int) -> FoundPieces | None:
        """Shares with at most so many pieces, None where there are none. Raises OutOfNodesError where undecided."""
        if sum(self.free) > DEEPEST:
            raise OutOfNodesError
        need = self.case.needed if self.tracked else (0,) * self.case.columns
        found = self.place(self.pool, self.free, need, pieces)
        if found is not None:
            found.reverse()
        return found

    def covered(self, free: tuple[int, ...], need: Vector) -> bool:
        """Whether the trays that stay empty, and later ones, give the slots that are still needed."""
        empty = [b for b, count in zip(self.case.berths, free, strict=True) for _ in range(count)]
        return reserve_kept(self.case, self.mix, empty, need, self.budget) is not None

    def place(self, pool: Pool, free: tuple[int, ...], need: Vector, allowed: int) -> FoundPieces | None:
        """Place the pool into the free trays with at most ``allowed`` pieces."""
        self.budget.spend()
        if not pool:
            return [] if self.covered(free, need) else None
        spare_pieces = allowed - self.fewest(pool)
        if spare_pieces < 0:
            return None
        key = (pool, free, need)
        if self.failed.get(key, -1) >= allowed:
            return None
        if self.roomy(pool, free):
            for b, berth in enumerate(self.case.berths):
                if not free[b] or (berth.hanging and free[b] <= self.closed[b]):
                    continue
                remaining = (*free[:b], free[b] - 1, *free[b + 1 :])
                seen: set[Pool] = set()
                for given in berth.settings:
                    after = less(need, given) if self.tracked else need
                    for shares, rest, cost in self.fillings(pool, b, given, spare_pieces):
                        if not self.tracked:
                            if rest in seen:
                                continue
                            seen.add(rest)
                        found = self.place(rest, remaining, after, allowed - cost)
                        if found is not None:
                            found.append((b, given, shares))
                            return found
        self.failed[key] = allowed
        return None

    def roomy(self, pool: Pool, free: tuple[int, ...]) -> bool:
        """Whether no measure shows that the free trays cannot take the pool."""
        hung = len(self.closed)
        usable = (*[n - m for n, m in zip(free[:hung], self.closed, strict=True)], *free[hung:])
        for measure in self.measures:
            taken = sum([count * size * measure.splice[alike] for (alike, size, _), count in pool])
            if sum([n * w for n, w in zip(usable, measure.tray, strict=True)]) < taken:
                return False
        return True

    def fillings(
        self, pool: Pool, berth: int, given: Vector, spare_pieces: int
    ) -> Iterator[tuple[list[Share], Pool, int]]:
        """Fillings of one tray that hold some of the pool's first entry: (shares, what is left, pieces)."""
        case = self.case
        tray = case.berths[berth]
        free = list(given)
        stock = [tray.storage or 0, tray.ribbons or 0]
        limit_storage, limit_ribbons = tray.storage is not None, tray.ribbons is not None
        present = [
            place for place, ((alike, _, _), _) in enumerate(pool) if case.likenesses[alike].storage[berth] is not None
        ]
        if not present or present[0] != 0:
            return
        wholes = [0] * len(pool)
        partial: dict[int, tuple[int, int]] = {}  # likeness: (place in the pool, splices)

        def room(alike: int, label: int | None) -> int:
            likeness = case.likenesses[alike]
            if likeness.label is not None and label is not None and likeness.label != label:
                return 0
            most = UNLIMITED
            if likeness.slots:
                most = free[likeness.column] // likeness.slots
            stored = likeness.storage[berth]
            if limit_storage and stored:
                most = min(most, stock[0] // stored)
            if limit_ribbons and likeness.ribbons:
                most = min(most, stock[1] // likeness.ribbons)
            return most

        def lay(alike: int, splices: int) -> None:
            likeness = case.likenesses[alike]
            free[likeness.column] -= splices * likeness.slots
            stock[0] -= splices * (likeness.storage[berth] or 0)
            stock[1] -= splices * likeness.ribbons

        cuttable: list[int] = []
        for place in present:
            (alike, _, cut), _ = pool[place]
            if cut == CUT and alike not in cuttable:
                cuttable.append(alike)

        steps = 0

        def step() -> None:
            nonlocal steps
            steps += 1
            if steps % STEPS_A_NODE == 0:
                self.budget.spend()

        def with_wholes(number: int, label: int | None) -> Iterator[int | None]:
            step()
            if number == len(present):
                yield label
                return
            place = present[number]
            (alike, size, _), count = pool[place]
            most = min(count, room(alike, label) // size)
            for some in range(most, -1, -1):
                wholes[place] = some
                lay(alike, some * size)
                own = case.likenesses[alike].label
                yield from with_wholes(number + 1, own if some and own is not None else label)
                lay(alike, -some * size)
            wholes[place] = 0

        def with_partials(number: int, label: int | None, extra: int) -> Iterator[int | None]:
            step()
            if number == len(cuttable):
                yield label
                return
            yield from with_partials(number + 1, label, extra)
            alike = cuttable[number]
            most = room(alike, label)
            if not most:
                return
            widest = self.widest[alike]
            own = case.likenesses[alike].label
            for place in present:
                (other, size, cut), count = pool[place]
                if other != alike or cut != CUT or wholes[place] == count:
                    continue
                for splices in range(min(most, size - 1), 0, -1):
                    dearer = 1 - (-(size - splices) // widest) + (-size // widest)
                    if dearer > extra:
                        continue
                    partial[alike] = (place, splices)
                    lay(alike, splices)
                    yield from with_partials(number + 1, own if own is not None else label, extra - dearer)
                    lay(alike, -splices)
                    del partial[alike]

        for label in with_wholes(0, tray.label):
            self.budget.spend(1 + len(present) // 12)
            for final in with_partials(0, label, spare_pieces):
                if not wholes[0] and not any(place == 0 for place, _ in partial.values()):
                    continue
                if any(room(alike, final) > 0 for alike in partial):
                    continue
                taken = {place for place, _ in partial.values()}
                if any(
                    pool[place][1] > wholes[place] + (place in taken)
                    and room(pool[place][0][0], final) >= pool[place][0][1]
                    for place in present
                ):
                    continue
                yield self.outcome(pool, wholes, partial)

    def outcome(
        self, pool: Pool, wholes: list[int], partial: dict[int, tuple[int, int]]
    ) -> tuple[list[Share], Pool, int]:
        """The shares of a filling, the pool that is left and the pieces used."""
        shares: list[Share] = []
        rest = dict(pool)
        cost = 0
        for place, some in enumerate(wholes):
            if some:
                entry = pool[place][0]
                shares.append((entry, entry[1], some))
                rest[entry] -= some
                if entry[2] != LOOSE:
                    cost += some
        for place, splices in partial.values():
            entry = pool[place][0]
            shares.append((entry, splices, 1))
            rest[entry] -= 1
            smaller = (entry[0], entry[1] - splices, CUT if entry[1] - splices > 1 else WHOLE)
            rest[smaller] = rest.get(smaller, 0) + 1
            cost += 1
        likenesses = self.case.likenesses
        left = [(entry, count) for entry, count in rest.items() if count]
        left.sort(key=lambda pair: (pair[0][2] == LOOSE, -pair[0][1] * likenesses[pair[0][0]].slots, pair[0]))
        return shares, tuple(left), cost
