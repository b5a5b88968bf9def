"""The exact search for room: whether all lots go into given trays, tray by tray.

The hardest lot that is left lies in some tray: the search tries every kind of tray for it and every filling of that
tray which no further bundle could join. That loses nothing: whatever still fits may be moved there from the trays
that are filled later. States that failed are remembered.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import UNLIMITED, Case, Lot
from service.planning.packing.coverage import less
from service.planning.packing.drafts import reserve_kept
from service.planning.packing.lots import lots_for_room
from service.planning.packing.measures import Measure, shared_by, shares_of
from service.planning.packing.mixes import Mix
from service.planning.packing.settings import Vector
from service.planning.packing.sharp import LotMeasure

Filling = tuple[int, ...]
"""How many bundles of each lot lie in one tray."""

Openings = tuple[int, ...]
"""How many hanging trays of each hanging berth may be opened."""

Found = list[tuple[int, Vector, Filling]]
"""(berth, setting, filling) of every tray that holds something."""


STEPS_A_NODE = 8
"""How many steps of putting one filling together count as a node."""

DEEPEST = 500
"""Mixes of more trays than this are not searched."""

TIGHTEST = 5
"""How many sharp measures are looked at in every node."""


class RoomSearch:
    """Looks for room for all lots in one mix, opening no more hanging trays of each berth than ``usable`` says."""

    def __init__(
        self,
        case: Case,
        measures: Sequence[Measure],
        mix: Mix,
        usable: Openings,
        budget: Budget,
        sharp: Sequence[LotMeasure] = (),
    ) -> None:
        self.case = case
        self.lots = lots_for_room(case)
        self.budget = budget
        self.measures = [
            (tuple([lot.size * measure.splice[lot.alike] for lot in self.lots]), measure.tray) for measure in measures
        ]
        self.measures += self.tightest(sharp, mix)
        self.mix = mix
        self.closed = tuple([len(b.hanging) - n for b, n in zip(case.berths, usable, strict=False)])
        # Where nothing but the items themselves takes slots, any setting that holds them will do.
        implied = list(case.used)
        for lot in self.lots:
            likeness = case.likenesses[lot.alike]
            implied[likeness.column] -= lot.size * lot.count * likeness.slots
        self.tracked = case.needed != case.used or any(implied)
        self.failed: set[tuple[Filling, tuple[int, ...], Vector]] = set()
        labels = [case.likenesses[lot.alike].label for lot in self.lots]
        self.labelled = [(number, label) for number, label in enumerate(labels) if label is not None]
        self.share = shares_of(case)
        self.gives = () if self.share is None else shared_by(case, self.share)

    def tightest(self, sharp: Sequence[LotMeasure], mix: Mix) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
        """The few sharp measures that leave least room in this mix."""
        ranked = []
        for number, measure in enumerate(sharp):
            taken = sum([lot.count * w for lot, w in zip(self.lots, measure.lots, strict=True)])
            given = sum([n * g for n, g in zip(mix, measure.tray[self.case.bought_from :], strict=True)])
            if taken:
                ranked.append((given * 1000 // taken, number))
        return [(sharp[number].lots, sharp[number].tray) for _, number in sorted(ranked)[:TIGHTEST]]

    def run(self) -> Found | None:
        """The fillings, or None where there is no room. Raises OutOfNodesError where it stays undecided."""
        free = tuple([len(b.hanging) for b in self.case.berths[: self.case.bought_from]]) + self.mix
        if sum(free) > DEEPEST:
            raise OutOfNodesError
        need = self.case.needed if self.tracked else (0,) * self.case.columns
        return self.place(tuple([lot.count for lot in self.lots]), free, need)

    def covered(self, free: tuple[int, ...], need: Vector) -> bool:
        """Whether the trays that stay empty, and later ones, give the slots that are still needed."""
        empty = [b for b, count in zip(self.case.berths, free, strict=True) for _ in range(count)]
        return reserve_kept(self.case, self.mix, empty, need, self.budget) is not None

    def place(self, left: Filling, free: tuple[int, ...], need: Vector) -> Found | None:
        """Place what is left into the free trays."""
        self.budget.spend()
        first = next((number for number, count in enumerate(left) if count), -1)
        if first < 0:
            return [] if self.covered(free, need) else None
        key = (left, free, need)
        if key in self.failed:
            return None
        if self.roomy(left, free):
            case = self.case
            tight = self.slack(left, free)
            for b, berth in enumerate(case.berths):
                if not free[b] or (berth.hanging and free[b] <= self.closed[b]):
                    continue
                if case.likenesses[self.lots[first].alike].most[b] < self.lots[first].size:
                    continue
                remaining = (*free[:b], free[b] - 1, *free[b + 1 :])
                seen: set[Filling] = set()
                for given in berth.settings:
                    after = less(need, given) if self.tracked else need
                    for filling in self.fillings(left, first, b, given, tight):
                        if not self.tracked:
                            if filling in seen:
                                continue
                            seen.add(filling)
                        rest = tuple([n - m for n, m in zip(left, filling, strict=True)])
                        found = self.place(rest, remaining, after)
                        if found is not None:
                            found.append((b, given, filling))
                            return found
        self.failed.add(key)
        return None

    def roomy(self, left: Filling, free: tuple[int, ...]) -> bool:
        """Whether no measure shows that the free trays cannot take what is left."""
        usable = free
        if self.closed:
            hung = len(self.closed)
            usable = (*[n - m for n, m in zip(free[:hung], self.closed, strict=True)], *free[hung:])
        for takes, gives in self.measures:
            taken = sum([n * w for n, w in zip(left, takes, strict=True)])
            if sum([n * w for n, w in zip(usable, gives, strict=True)]) < taken:
                return False
        return self.labels_have_trays(left, usable)

    def labels_have_trays(self, left: Filling, free: tuple[int, ...]) -> bool:
        """Whether there are trays enough for the labels that are left, which never share one."""
        taken: dict[int, list[int]] = {}
        for number, label in self.labelled:
            count = left[number]
            if count:
                sums = taken.setdefault(label, [0] * len(self.measures))
                for m, (takes, _) in enumerate(self.measures):
                    sums[m] += count * takes[number]
        if not taken:
            return True
        trays = sum(free)
        largest = [max([g for g, n in zip(gives, free, strict=True) if n], default=0) for _, gives in self.measures]
        for sums in taken.values():
            trays -= max([1, *[-(-s // g) if g else UNLIMITED if s else 1 for s, g in zip(sums, largest, strict=True)]])
            if trays < 0:
                return False
        return True

    def slack(self, left: Filling, free: tuple[int, ...]) -> int:
        """Slots that may stay unused, each counted by its share of the largest tray."""
        share = self.share
        if share is None:
            return UNLIMITED
        given = sum([n * g for n, g in zip(free, self.gives, strict=True)])
        likenesses = [self.case.likenesses[lot.alike] for lot in self.lots]
        return given - sum(
            [
                n * lot.size * alike.slots * share[alike.column]
                for n, lot, alike in zip(left, self.lots, likenesses, strict=True)
                if n
            ]
        )

    def fillings(self, left: Filling, first: int, berth: int, given: Vector, slack: int) -> Iterator[Filling]:
        """Fillings of one tray; see the function."""
        if self.share is None:
            share, most = (0,) * self.case.columns, 0
        else:
            share, most = self.share, self.gives[berth]
        return fillings(self.case, self.lots, left, first, berth, given, slack, share, most, self.budget)


def fillings(
    case: Case,
    lots: Sequence[Lot],
    left: Filling,
    first: int,
    berth: int,
    given: Vector,
    slack: int,
    share: Vector,
    most_given: int,
    budget: Budget,
) -> Iterator[Filling]:
    """Fillings of one tray that hold a bundle of lot ``first`` and that no bundle left over could join.

    ``slack``: how many slots may stay unused, counted by ``share``, of the ``most_given`` that a tray of the berth
    gives however it is set; emptier fillings are left out.
    """
    tray = case.berths[berth]
    number = len(lots)
    likenesses = [case.likenesses[lot.alike] for lot in lots]
    slots = [lot.size * alike.slots for lot, alike in zip(lots, likenesses, strict=True)]
    stores = [alike.storage[berth] for alike in likenesses]
    stored = [(s or 0) * lot.size for s, lot in zip(stores, lots, strict=True)]
    ends = [alike.ribbons * lot.size for lot, alike in zip(lots, likenesses, strict=True)]
    limit_storage = tray.storage is not None
    limit_ribbons = tray.ribbons is not None
    present = [j for j in range(first, number) if left[j] and stores[j] is not None]
    toll = 1 + len(present) // 12
    filling = [0] * number
    free = list(given)
    # What all later lots together could still fill, to cut off fillings that waste too many slots.
    counted = [s * share[alike.column] for s, alike in zip(slots, likenesses, strict=True)]
    behind = [0] * (len(present) + 1)
    for place in range(len(present) - 1, -1, -1):
        behind[place] = behind[place + 1] + left[present[place]] * counted[present[place]]

    def fits(j: int, storage: int, ribbons: int, label: int | None) -> int:
        alike = likenesses[j]
        if alike.label is not None and label is not None and alike.label != label:
            return 0
        most = left[j]
        if slots[j]:
            most = min(most, free[alike.column] // slots[j])
        if limit_storage and stored[j]:
            most = min(most, storage // stored[j])
        if limit_ribbons and ends[j]:
            most = min(most, ribbons // ends[j])
        return most

    steps = 0

    def extended(place: int, unused: int, storage: int, ribbons: int, label: int | None) -> Iterator[Filling]:
        nonlocal steps
        steps += 1
        if steps % STEPS_A_NODE == 0:
            budget.spend()
        if slack < unused - behind[place]:
            return
        if place == len(present):
            budget.spend(toll)
            for j in present:
                if filling[j] < left[j] and fits(j, storage, ribbons, label):
                    return
            yield tuple(filling)
            return
        j = present[place]
        most = fits(j, storage, ribbons, label)
        alike = likenesses[j]
        least = 1 if j == first else 0
        takes_nothing = not slots[j] and not (limit_storage and stored[j]) and not (limit_ribbons and ends[j])
        if most and (place == len(present) - 1 or (takes_nothing and alike.label in (None, label))):
            # Leaving some of these out would leave a filling that they could join.
            least = most
        for count in range(most, least - 1, -1):
            filling[j] = count
            free[alike.column] -= count * slots[j]
            with_label = alike.label if count and alike.label is not None else label
            rest = unused - count * counted[j]
            yield from extended(place + 1, rest, storage - count * stored[j], ribbons - count * ends[j], with_label)
            free[alike.column] += count * slots[j]
        filling[j] = 0

    yield from extended(0, most_given, tray.storage or 0, tray.ribbons or 0, tray.label)
