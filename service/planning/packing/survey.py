"""A first look: the mixes from the lightest on, packed by cheap rules alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import Case, Lot
from service.planning.packing.coverage import cover_banks, groups_of, less
from service.planning.packing.drafts import Draft, reserve_kept
from service.planning.packing.labels import LabelFloor
from service.planning.packing.laying import tried
from service.planning.packing.lots import lots_for_room
from service.planning.packing.measures import Measure
from service.planning.packing.mixes import Mix, MixesCutShortError, mixes
from service.planning.packing.sharp import LotMeasure, rules_out, sharp_measures

FAILURES = 8
"""After so many mixes that cheap rules do not pack, a heavier packing is made first, to know where to stop."""


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

    def __init__(self, case: Case, measures: list[Measure], orders: Sequence[Sequence[int]], fewest: int) -> None:
        self.case = case
        self.measures = measures
        self.orders = orders
        self.fewest = fewest
        self.lots: list[Lot] = []
        self.sharp: list[LotMeasure] = []
        self.sharpened = False

    def survey(self, budget: Budget, floor: LabelFloor, start: Draft | None, hasty: bool) -> Survey | None:
        """Go on until a mix is packed and its equals were seen. ``hasty``: None as soon as a mix is not packed."""
        survey = Survey(draft=start)
        part = budget.part(budget.left // 2)
        try:
            for weight, mix in mixes(self.case, self.measures, part, floor.trays, floor.weight):
                best = survey.draft
                if best is not None and weight > best.weight:
                    break
                if self.sharp and any(rules_out(self.case, measure, self.lots, mix) for measure in self.sharp):
                    continue
                if not self.bankable(mix, part):
                    continue
                got = tried(self.case, weight, mix, self.orders)
                if got is None:
                    if hasty:
                        budget.take_back(part)
                        return None
                    if not self.sharpened:
                        self.sharpen()
                        if any(rules_out(self.case, measure, self.lots, mix) for measure in self.sharp):
                            continue
                    survey.open.append((weight, mix))
                    part.spend(1 + len(self.case.sizes) * sum(mix) // 64)
                    if len(survey.open) == FAILURES and survey.draft is None:
                        survey.draft = self.grown(weight, mix)
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
        if survey.draft is None and survey.open:
            survey.draft = self.grown(*survey.open[-1])
        return survey

    def sharpen(self) -> list[LotMeasure]:
        """The sharper measures, made when they are first asked for."""
        if not self.sharpened:
            self.sharpened = True
            self.lots = lots_for_room(self.case)
            self.sharp = sharp_measures(self.case, self.lots)
        return self.sharp

    def grown(self, weight: int, mix: Mix) -> Draft | None:
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
                draft = tried(self.case, heavier, tuple(larger), self.orders)
                if draft is not None:
                    best = draft
                    break
                step = max(1, sum(larger) // 8)
        return best

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
