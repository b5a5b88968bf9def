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

    def fewest_pieces(self, draft: Draft, floor: int, short: bool = False) -> tuple[Draft, int]:
        """The fewest pieces at this weight with so few trays opened: (best packing, proven bound).

        ``short``: all nodes go into the proof from below, none into making a packing better that is not proven.
        """
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
        # Most proofs are short; where this one is not, the packing is made better before it goes on.
        draft, bound = self.from_below(draft, searches, floor, self.budget.left // (1 if short else 3))
        if bound < draft.pieces and not short:
            draft, bound = self.fewer_pieces(draft, searches, bound)
            draft, bound = self.from_below(draft, searches, bound, self.budget.left)
        return draft, bound

    def from_below(self, draft: Draft, searches: Sequence[PieceSearch], bound: int, nodes: int) -> tuple[Draft, int]:
        """Ever more pieces are tried until there is a packing: (best packing, proven bound)."""
        part = self.budget.part(nodes)
        try:
            while bound < draft.pieces:
                got = self.with_pieces(draft, searches, bound, part)
                if got is None:
                    bound += 1
                else:
                    return got, bound
        except OutOfNodesError:
            pass
        finally:
            self.budget.take_back(part)
        return draft, bound

    def fewer_pieces(self, draft: Draft, searches: Sequence[PieceSearch], floor: int) -> tuple[Draft, int]:
        """Short searches for far fewer pieces: (best packing, proven bound). More cuts are found sooner than few."""
        low = bound = floor
        while low + 1 < draft.pieces:
            middle = (low + draft.pieces) // 2
            part = self.budget.part(self.budget.left // 12)
            try:
                got = self.with_pieces(draft, searches, middle, part)
            except OutOfNodesError:
                low = middle + 1
                continue
            finally:
                self.budget.take_back(part)
            if got is None:
                low = bound = middle + 1
            elif got.pieces < draft.pieces:
                draft = got
            else:
                break
        return draft, bound

    def with_pieces(self, draft: Draft, searches: Sequence[PieceSearch], pieces: int, budget: Budget) -> Draft | None:
        """A packing with so many pieces at most, None where there is none.

        It is the draft again where what was found cannot be rebuilt any better. Raises OutOfNodesError.
        """
        for search in searches:
            if search.fewest(search.pool) > pieces:
                continue
            search.spend_from(budget)
            found = search.run(pieces)
            if found is not None:
                got = from_pieces(self.case, draft.weight, search.mix, found)
                return draft if got is None or got.rank >= draft.rank else got
        return None


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
