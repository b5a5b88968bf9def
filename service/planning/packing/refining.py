"""Among packings of least cost and height: the fewest hanging trays opened, then the fewest pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import CUT, Case
from service.planning.packing.coverage import cover_banks, groups_of, less
from service.planning.packing.drafts import Draft
from service.planning.packing.laying import tried
from service.planning.packing.measures import Measure, amounts_of
from service.planning.packing.mixes import Mix
from service.planning.packing.pieces import PieceSearch
from service.planning.packing.rebuilding import from_pieces, from_room
from service.planning.packing.search import Openings, RoomSearch
from service.planning.packing.sharp import LotMeasure


class Refiner:
    """Improves a packing of least weight; ``equals`` are the mixes of that weight not yet ruled out."""

    def __init__(
        self,
        case: Case,
        measures: list[Measure],
        sharp: Sequence[LotMeasure],
        orders: Sequence[Sequence[int]],
        equals: Sequence[Mix],
        budget: Budget,
    ) -> None:
        self.case = case
        self.measures = measures
        self.sharp = sharp
        self.orders = orders
        self.equals = equals
        self.budget = budget
        self.all_open: Openings = tuple([len(b.hanging) for b in case.berths[: case.bought_from]])

    def fewest_opened(self, draft: Draft) -> tuple[Draft, int]:
        """The fewest hanging trays that must be opened at this weight: (best packing, proven bound)."""
        openable = 0
        while openable < draft.opened:
            decided = True
            candidates = self.openings(openable)
            while True:
                try:
                    mix, usable = next(candidates)
                except StopIteration:
                    break
                except OutOfNodesError:
                    decided = False
                    break
                got = tried(self.case, draft.weight, mix, self.orders, self.numbers(usable))
                if got is None:
                    part = self.budget.part(max(self.budget.left // 4, 500))
                    try:
                        found = RoomSearch(self.case, self.measures, mix, usable, part, self.sharp).run()
                        if found is not None:
                            got = from_room(self.case, draft.weight, mix, found)
                            decided = decided and got is not None
                    except OutOfNodesError:
                        decided = False
                    finally:
                        self.budget.take_back(part)
                if got is not None and got.rank < draft.rank:
                    draft = got
                if draft.opened <= openable:
                    return draft, draft.opened
            if not decided:
                return draft, openable
            openable += 1
        return draft, draft.opened

    def openings(self, openable: int) -> Iterator[tuple[Mix, Openings]]:
        """Each mix with each choice of so many hanging trays that no measure and no setting of banks rules out.

        Raises OutOfNodesError where the node limit ends the listing.
        """
        for mix in self.equals:
            for usable in choices(self.all_open, openable):
                self.budget.spend()
                if self.may_do(mix, usable):
                    yield mix, usable

    def numbers(self, usable: Openings) -> list[int]:
        """The hanging trays that such a choice opens."""
        return [n for count, berth in zip(usable, self.case.berths, strict=False) for n in berth.hanging[:count]]

    def may_do(self, mix: Mix, usable: Openings) -> bool:
        """Whether no measure and no setting of banks rules out that these trays hold all items."""
        case = self.case
        counts = (*usable, *mix)
        amounts = amounts_of(case)
        for measure in self.measures:
            taken = sum(n * w for n, w in zip(amounts, measure.splice, strict=True))
            if sum(n * w for n, w in zip(counts, measure.tray, strict=True)) < taken:
                return False
        groups, settled = groups_of(list(zip(case.berths, counts, strict=True)), case.columns)
        try:
            return cover_banks(groups, less(case.used, settled), self.budget) is not None
        except OutOfNodesError:
            return True

    def fewest_pieces(self, draft: Draft, floor: int) -> tuple[Draft, int]:
        """The fewest pieces at this weight with so few trays opened: (best packing, proven bound)."""
        case = self.case
        if draft.pieces == floor:
            return draft, floor
        if CUT not in case.cut_of:
            return draft, draft.pieces
        try:
            searches = [
                PieceSearch(case, self.measures, mix, usable, self.budget)
                for mix, usable in self.openings(draft.opened)
            ]
        except OutOfNodesError:
            return draft, floor
        pieces = floor
        while pieces < draft.pieces:
            try:
                for search in searches:
                    if search.fewest(search.pool) > pieces:
                        continue
                    found = search.run(pieces)
                    if found is not None:
                        got = from_pieces(case, draft.weight, search.mix, found)
                        if got is None or got.rank >= draft.rank:
                            return draft, pieces
                        draft = got
                        break
            except OutOfNodesError:
                return draft, pieces
            if draft.pieces <= pieces:
                break
            pieces += 1
        return draft, draft.pieces


def choices(most: Openings, total: int) -> Iterator[Openings]:
    """All ways to take ``total`` trays, no more of each berth than ``most`` says, the first berths first."""
    if not most:
        if total == 0:
            yield ()
        return
    rest = sum(most[1:])
    for some in range(min(most[0], total), max(0, total - rest) - 1, -1):
        for others in choices(most[1:], total - some):
            yield (some, *others)
