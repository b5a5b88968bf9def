"""The exact search for pieces: whether all goes into given trays with at most so many pieces.

As the search for room, tray by tray from the hardest entry on, with two more facts. Splices of one likeness may be
exchanged, so a tray need hold an unfinished item of each likeness at most once; and splices may be moved up from later
trays, so a tray that holds an unfinished item is full for that likeness. A filling may also not leave out a bundle
that would still fit whole.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import CUT, UNLIMITED, WHOLE, Case
from service.planning.packing.coverage import less
from service.planning.packing.cutting import Cutter, Pool, Share, arranged
from service.planning.packing.drafts import reserve_kept
from service.planning.packing.lots import lots_for_pieces
from service.planning.packing.measures import Measure
from service.planning.packing.mixes import Mix
from service.planning.packing.search import DEEPEST, Openings
from service.planning.packing.settings import Vector

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
        self.pool: Pool = arranged(case, [((lot.alike, lot.size, lot.cut), lot.count) for lot in lots_for_pieces(case)])
        self.widest = tuple(
            max([most for most, count in zip(alike.most, self.free, strict=True) if count], default=0)
            for alike in case.likenesses
        )
        self.cutter = Cutter(case, self.widest, budget)
        implied = list(case.used)
        for (alike, size, _), count in self.pool:
            implied[case.likenesses[alike].column] -= size * count * case.likenesses[alike].slots
        self.tracked = case.needed != case.used or any(implied)
        self.failed: dict[tuple[Pool, tuple[int, ...], Vector], int] = {}
        self.apart = any(alike.label is not None for alike in case.likenesses)
        useful = [measure for measure in measures if max(measure.tray) > 0]
        self.largest = [max(measure.tray) for measure in useful]
        self.weights = [[measure.splice[alike] for measure in useful] for alike in range(len(case.likenesses))]

    def spend_from(self, budget: Budget) -> None:
        """Count what follows against another budget; what was ruled out before stays so."""
        self.budget = self.cutter.budget = budget

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
            tight = self.slack(pool, free)
            for b, berth in enumerate(self.case.berths):
                if not free[b] or (berth.hanging and free[b] <= self.closed[b]):
                    continue
                remaining = (*free[:b], free[b] - 1, *free[b + 1 :])
                seen: set[Pool] = set()
                for given in berth.settings:
                    after = less(need, given) if self.tracked else need
                    for shares, rest, cost in self.cutter.fillings(pool, b, given, spare_pieces, tight):
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
        return not self.apart or self.labels_have_trays(pool, usable)

    def labels_have_trays(self, pool: Pool, free: tuple[int, ...]) -> bool:
        """Whether there are trays enough for the labels that are left, which never share one."""
        sums: dict[int, list[int]] = {}
        for (alike, size, _), count in pool:
            label = self.case.likenesses[alike].label
            if label is not None:
                taken = sums.setdefault(label, [0] * len(self.largest))
                for m, weight in enumerate(self.weights[alike]):
                    taken[m] += count * size * weight
        trays = 0
        for taken in sums.values():
            trays += max([1, *[-(-amount // most) for amount, most in zip(taken, self.largest, strict=True)]])
        return trays <= sum(free)

    def slack(self, pool: Pool, free: tuple[int, ...]) -> int:
        """Slots that may stay unused, each counted by its share of the largest tray."""
        cutter = self.cutter
        given = sum([n * gives for n, gives in zip(free, cutter.gives, strict=True)])
        return given - sum([count * size * cutter.counted[alike] for (alike, size, _), count in pool])
