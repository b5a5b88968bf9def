"""A first look: the mixes from the lightest on, packed by cheap rules alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import Case
from service.planning.packing.coverage import cover_banks, groups_of, less
from service.planning.packing.drafts import Draft, reserve_kept
from service.planning.packing.laying import persuaded, tried
from service.planning.packing.measures import shared_by, shares_of
from service.planning.packing.mixes import Mix, MixesCutShortError, mixes
from service.planning.packing.needs import Need, within
from service.planning.packing.offered import MANY

FAILURES = 8
"""After so many mixes that cheap rules do not pack, a heavier packing is made first, to know where to stop."""

ROUNDS = 40
"""How often the laying into one mix is tried again with another order."""

PERSUADED = 24
"""For how many of the lightest mixes that is done."""


@dataclass(slots=True)
class Survey:
    """What the cheap rules found: mixes ``packed`` and still ``open``, as (weight, mix), the lightest first.

    ``unseen``: mixes from this weight on were not listed, because the node limit ended the listing.
    """

    draft: Draft | None = None
    packed: list[tuple[int, Mix]] = field(default_factory=list)
    open: list[tuple[int, Mix]] = field(default_factory=list)
    unseen: int | None = None


class Surveyor:
    """Goes through the mixes of a case."""

    def __init__(self, case: Case, orders: Sequence[Sequence[int]], fewest: int) -> None:
        self.case = case
        self.orders = orders
        self.fewest = fewest
        self.pile: tuple[Draft | None] | None = None

    def survey(
        self, budget: Budget, needs: Sequence[Need], least: int = 0, start: Draft | None = None, hasty: bool = False
    ) -> Survey:
        """Go on until a mix is packed and its equals were seen; ``hasty``: or the first mix is not packed."""
        survey = Survey(draft=start)
        part = budget.part(budget.left // (4 if hasty else 2))
        try:
            for weight, mix in mixes(self.case, needs, part, least):
                best = survey.draft
                if best is not None and weight > best.weight:
                    break
                if not self.bankable(mix, part):
                    continue
                got = tried(self.case, weight, mix, self.orders)
                better = best is None or weight < best.weight
                if got is None and better and not hasty and len(survey.open) < PERSUADED:
                    got = self.retried(weight, mix, part)
                if got is None:
                    survey.open.append((weight, mix))
                    if hasty:
                        break
                    part.spend(1 + self.toll(mix))
                    if len(survey.open) == FAILURES and survey.draft is None:
                        survey.draft = self.grown(weight, mix, part)
                    continue
                survey.packed.append((weight, mix))
                if best is None or (weight, *got.rank) < (best.weight, *best.rank):
                    survey.draft = got
                if got.opened == 0 and got.pieces == self.fewest:
                    break
        except MixesCutShortError as cut:
            survey.unseen = cut.weight
        except OutOfNodesError:
            survey.unseen = survey.open[-1][0] if survey.open else 0
        budget.take_back(part)
        if survey.draft is None and survey.open and not hasty:
            survey.draft = self.grown(*survey.open[-1], budget)
        if survey.draft is None and survey.unseen is not None and not hasty:
            if self.pile is None:
                self.pile = (self.piled(needs, budget),)
            survey.draft = self.pile[0]
        return survey

    def toll(self, mix: Sequence[int]) -> int:
        """How many nodes it counts to lay all items into a mix by cheap rules."""
        ways = len(self.orders) * (2 if self.case.columns > 1 else 1)
        trays = self.case.hung + sum(mix)
        # Of many trays those that are alike and those that are full are not looked at.
        return ways * len(self.case.sizes) * min(trays, MANY + trays // 4) // 128

    def retried(self, weight: int, mix: Mix, budget: Budget) -> Draft | None:
        """What laying the items again and again finds, with an eighth of the nodes at most."""
        part = budget.part(budget.left // 8)
        try:
            return persuaded(self.case, weight, mix, self.orders[-1], ROUNDS, part)
        except OutOfNodesError:
            return None
        finally:
            budget.take_back(part)

    def grown(self, weight: int, mix: Mix, budget: Budget) -> Draft | None:
        """A packing, not the least, of the mix with more trays of one kind: so that there is an answer at all."""
        bought = self.case.berths[self.case.bought_from :]
        best: Draft | None = None
        for b, berth in enumerate(bought):
            larger, heavier, step = list(mix), weight, 1
            while best is None or heavier < best.weight:
                larger[b] += step
                heavier += step * berth.weight
                height = sum(n * each.pitch for n, each in zip(larger, bought, strict=True))
                if larger[b] > berth.most or height > self.case.room:
                    break
                budget.charge(self.toll(larger))
                draft = tried(self.case, heavier, tuple(larger), self.orders)
                if draft is not None:
                    best = draft
                    break
                step = max(1, sum(larger) // 8)
        return best

    def piled(self, needs: Sequence[Need], budget: Budget) -> Draft | None:
        """A packing, not the least, of trays piled up: those first that give most for their weight, or their pitch."""
        case = self.case
        share = shares_of(case)
        if share is None:
            return None
        bought = case.berths[case.bought_from :]
        gives = shared_by(case, share)[case.bought_from :]
        best: Draft | None = None
        for dear in ([berth.weight for berth in bought], [berth.pitch for berth in bought]):
            order = sorted(range(len(bought)), key=lambda b: (Fraction(-gives[b], dear[b] or 1), b))
            draft = self.piled_up(order, needs, budget)
            if draft is not None and (best is None or draft.weight < best.weight):
                best = draft
        return best

    def piled_up(self, order: Sequence[int], needs: Sequence[Need], budget: Budget) -> Draft | None:
        """A packing of trays added in that order, as many as are needed, or as the stack takes.

        Nothing is laid into trays that do not even give what is needed.
        """
        bought = self.case.berths[self.case.bought_from :]
        mix, weight, room, added = [0] * len(bought), 0, self.case.room, 0
        for b in order:
            berth = bought[b]
            while mix[b] < berth.most and berth.pitch <= room:
                mix[b] += 1
                weight += berth.weight
                room -= berth.pitch
                added += 1
                if added % (1 + added // 8) == 0 and within(needs, mix):
                    budget.charge(self.toll(mix))
                    draft = tried(self.case, weight, tuple(mix), self.orders)
                    if draft is not None:
                        return draft
        if not within(needs, mix):
            return None
        budget.charge(self.toll(mix))
        return tried(self.case, weight, tuple(mix), self.orders)

    def bankable(self, mix: Mix, budget: Budget) -> bool:
        """Whether the banks of a mix can be set to give all slots that are needed, and later trays the rest."""
        case = self.case
        if case.columns == 1 and not case.in_stack and not case.spare:
            return True
        trays = [b for b in case.berths[: case.bought_from] for _ in b.hanging]
        trays += [b for b, n in zip(case.berths[case.bought_from :], mix, strict=True) for _ in range(n)]
        try:
            if case.in_stack:
                groups, settled = groups_of([(berth, 1) for berth in trays], case.columns)
                if cover_banks(groups, less(case.used, settled), budget) is None:
                    return False
            return reserve_kept(case, mix, trays, case.needed, budget) is not None
        except OutOfNodesError:
            return True
