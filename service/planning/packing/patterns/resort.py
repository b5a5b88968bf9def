"""The last resort: mixes that other bounds leave open are ruled out, or packed, by way of whole fillings of trays."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import Case
from service.planning.packing.drafts import Draft
from service.planning.packing.lots import lots_for_room
from service.planning.packing.mixes import Mix, MixesCutShortError, mixes
from service.planning.packing.needs import Need, within
from service.planning.packing.patterns.branching import Brancher
from service.planning.packing.patterns.generating import relaxed
from service.planning.packing.patterns.laid import whole_bundles
from service.planning.packing.patterns.master import Master
from service.planning.packing.patterns.model import model_of
from service.planning.packing.patterns.pricing import Pricing

SKIPPED = 30
"""After so many mixes that new needs rule out the listing starts again, with these needs in it."""

COST = "cost by fillings of whole trays, priced"
HEIGHT = "height by fillings of whole trays, priced"
MIX = "fillings of whole trays, priced"


@dataclass(slots=True)
class Settled:
    """What was found: no packing weighs less than ``least`` (None: there is none at all), and the best packing known.

    ``needs`` are new ones that every mix must meet; ``branches`` how many branches were searched to the end, ``nodes``
    what all that took.
    """

    draft: Draft | None
    mix: Mix | None
    least: int | None
    needs: list[Need] = field(default_factory=list)
    branches: int = 0
    nodes: int = 0

    @property
    def decided(self) -> bool:
        """Whether the packing is of the least weight, or there is none."""
        return self.least is None or (self.draft is not None and self.draft.weight == self.least)


class LastResort:
    """One case, its columns kept from mix to mix. Raises ImportError where the solver is not there."""

    def __init__(
        self, case: Case, needs: Sequence[Need], bankable: Callable[[Mix, Budget], bool], budget: Budget
    ) -> None:
        self.case = case
        self.known = list(needs)
        self.made: list[Need] = []
        self.bankable = bankable
        self.budget = budget
        self.model = model_of(case, lots_for_room(case))
        self.pricing = Pricing(self.model)
        self.master = Master(self.model)
        self.brancher = Brancher(self.master, self.pricing, budget, whole_bundles)

    def settle(self, least: int, draft: Draft | None = None) -> Settled:
        """Find the lightest mix with room for all; nothing weighs less than ``least``, ``draft`` is a packing known."""
        settled = Settled(draft, None, least, self.made)
        doubt: int | None = None
        try:
            self.bound_cost_and_height()
            for weight, mix in self.listed(settled):
                if settled.draft is not None and weight >= settled.draft.weight:
                    break
                if doubt is None:
                    settled.least = weight
                if not self.bankable(mix, self.budget):
                    continue
                if self.ruled_out(mix):
                    continue
                try:
                    found = self.brancher.room(weight, mix)
                except OutOfNodesError:
                    if self.budget.left <= 0:
                        raise
                    doubt = weight if doubt is None else doubt
                    continue
                if found is not None:
                    settled.draft, settled.mix = found, mix
                    break
        except OutOfNodesError:
            doubt = settled.least if doubt is None else doubt
        except MixesCutShortError as cut:
            doubt = max(cut.weight, least) if doubt is None else doubt
        settled.branches, settled.nodes = self.brancher.branches, self.budget.spent
        if doubt is not None:
            settled.least = doubt
        elif settled.draft is None:
            settled.least = None
        else:
            settled.least = settled.draft.weight
        return settled

    def bound_cost_and_height(self) -> None:
        """The needs that bound the cost of all mixes, and the height of those that cost no more than they must."""
        case = self.case
        self.master.aim(self.master.costs, None, None)
        self.noted(relaxed(self.master, self.pricing, None, self.budget, COST).need)
        first = next((weight for weight, _ in mixes(case, [*self.known, *self.made], self.budget)), None)
        if first is not None:
            self.master.aim([berth.pitch for berth in case.berths], first // case.height_unit, None)
            self.noted(relaxed(self.master, self.pricing, None, self.budget, HEIGHT).need)

    def noted(self, need: Need | None) -> None:
        """Keep a need."""
        if need is not None and need.amount > 0:
            self.made.append(need)

    def listed(self, settled: Settled) -> Iterator[tuple[int, Mix]]:
        """The mixes that no need rules out, from the least weight on, each once; needs made meanwhile count."""
        seen: set[Mix] = set()
        while True:
            known, skipped = len(self.made), 0
            for weight, mix in mixes(self.case, [*self.known, *self.made], self.budget, settled.least or 0):
                if mix in seen:
                    continue
                if within(self.made[known:], mix):
                    seen.add(mix)
                    yield weight, mix
                else:
                    skipped += 1
                    if skipped > SKIPPED:
                        break
            else:
                return

    def ruled_out(self, mix: Mix) -> bool:
        """Whether prices show that the mix has no room for all."""
        self.master.aim(self.master.costs, None, mix)
        need = relaxed(self.master, self.pricing, mix, self.budget, MIX).need
        self.noted(need)
        return need is not None
