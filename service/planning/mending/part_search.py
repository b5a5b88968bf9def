"""The part of the bundles with the most splices that one closure's trays take."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import islice

from service.domain.splices import Work
from service.planning.demand import Demand, demand_on
from service.planning.mending.divisible import may_be_divided
from service.planning.mending.oracle import Oracle
from service.planning.mending.part_bound import splices_at_most
from service.planning.mending.parts import Part, part_of
from service.planning.mending.trial import Trial
from service.planning.mending.ways_out import Cut, ways_out

WAYS_MOST = 4_000
"""How many ways of leaving out one number of splices are looked at."""


BUNDLES_MOST = 400
"""Of more bundles not every way of leaving some out is gone through: the ways are too many, and found too deep."""


class PartSearch:
    """The search over one closure and some work; ``best`` is the largest part that was found to fit its trays.

    ``at_most``: no part has more splices than that. ``whole``: only what the rules let be divided, or no tray takes
    whole, is taken in part.
    """

    def __init__(self, trial: Trial, work: Work, whole: bool) -> None:
        self.trial = trial
        self.whole = whole
        self.work = work
        self.oracle = Oracle(trial)
        self.sizes = tuple(len(bundle.splices) for bundle in work.bundles)
        self.best: Part = (0,) * len(self.sizes)
        # Bundles of which not even one splice each fits: no part has some of all of them.
        self._apart: list[frozenset[int]] = []
        self.at_most = sum(self.sizes)

    def run(self) -> None:
        """Find a good part by cheap rules, then look for a better one until there is none or the steps are used up."""
        admitted = tuple(size if self._admitted(place) else 0 for place, size in enumerate(self.sizes))
        self.at_most = sum(admitted)
        demand = self._demand(admitted)
        if demand is None or demand.problem is None or self._fits((0,) * len(self.sizes)) is False:
            # Nothing is left to lay, or not even the parked ends fit.
            self.at_most = 0
            return
        percent = self.trial.request.rules.reserve.percent
        self.at_most = min(self.at_most, splices_at_most(demand, percent, self.oracle))
        divisible = self._divisible(demand, admitted)
        orders = [list(range(len(self.sizes)))]
        orders += [sorted(orders[0], key=lambda p: -self.sizes[p]), sorted(orders[0], key=lambda p: self.sizes[p])]
        for order in orders:
            self._filled((0,) * len(self.sizes), order, admitted, divisible)
        self._exchanged(orders[1], admitted, divisible)
        self._better(admitted, demand, divisible)

    def _demand(self, part: Part) -> Demand | None:
        return self._demand_of(part_of(self.work, part))

    def _demand_of(self, work: Work) -> Demand | None:
        trial, rules = self.trial, self.trial.request.rules
        demand = demand_on(trial.closure, work, rules, trial.catalogue, trial.stowage, trial.request.existing_trays)
        return None if demand.problem is None else demand

    def _admitted(self, place: int) -> bool:
        """Whether any tray may hold the bundle at all."""
        return self._demand_of(replace(self.work, bundles=(self.work.bundles[place],))) is not None

    def _divisible(self, demand: Demand, admitted: Part) -> frozenset[int]:
        present = [place for place, count in enumerate(admitted) if count]
        return frozenset(p for n, p in enumerate(present) if not self.whole or may_be_divided(demand, n))

    def _fits(self, part: Part) -> bool | None:
        if self.trial.spent:
            return None
        demand = self._demand(part)
        if demand is None or demand.problem is None:
            return False
        return self.oracle.fits(demand.problem)

    def _filled(self, start: Part, order: list[int], admitted: Part, divisible: frozenset[int]) -> None:
        """Bundles added to a part along an order, as long as they fit; of one that may be divided, as much as fits."""
        if sum(self.best) >= self.at_most:
            return
        part = list(start)

        def fits_with(places: list[int]) -> bool:
            chosen = set(places)
            return self._fits(tuple(admitted[p] if p in chosen else n for p, n in enumerate(part))) is True

        first = _largest(lambda count: fits_with(order[:count]), len(order))
        for place in order[:first]:
            part[place] = admitted[place]
        for place in order[first:]:
            if self.trial.spent:
                break
            if part[place] == admitted[place] or sum(part) >= self.at_most:
                continue
            if fits_with([place]):
                part[place] = admitted[place]
            elif place in divisible:

                def some_fit(count: int, place: int = place) -> bool:
                    return self._fits(tuple(count if p == place else n for p, n in enumerate(part))) is True

                part[place] = max(part[place], _largest(some_fit, admitted[place] - 1))
        if sum(part) > sum(self.best):
            self.best = tuple(part)

    def _exchanged(self, order: list[int], admitted: Part, divisible: frozenset[int]) -> None:
        """One bundle of the best part left out, and the room filled with others, as long as that makes it larger."""
        tries = self.trial.nodes_left // 2
        better = True
        while better:
            better = False
            for place in sorted(order, key=lambda p: self.best[p]):
                if not self.best[place] or self.trial.nodes_left < tries or sum(self.best) >= self.at_most:
                    continue
                before = sum(self.best)
                start = tuple(0 if p == place else n for p, n in enumerate(self.best))
                self._filled(start, [p for p in order if p != place] + [place], admitted, divisible)
                better = better or sum(self.best) > before

    def _better(self, admitted: Part, demand: Demand, divisible: frozenset[int]) -> None:
        """Every way of leaving out fewer splices, the fewest first: the first that fits is the largest part."""
        assert demand.problem is not None
        if len(demand.problem.items) > BUNDLES_MOST:
            return
        items = dict(zip([p for p, n in enumerate(admitted) if n], demand.problem.items, strict=False))
        total, free = sum(admitted), self.trial.request.rules.split == "free"

        def cut_of(place: int) -> Cut:
            return "not at all" if place not in divisible else "together" if free else "each"

        while sum(self.best) < self.at_most and self.trial.nodes_left > 0:
            ways = list(islice(ways_out(items, cut_of, total - self.at_most), WAYS_MOST + 1))
            # As few bundles touched as can be, and the last of them.
            ways.sort(key=lambda way: (len(way), [-place for place in sorted(way, reverse=True)]))
            refuted = len(ways) <= WAYS_MOST
            for way in ways[:WAYS_MOST]:
                part = tuple(n - way.get(place, 0) for place, n in enumerate(admitted))
                present = frozenset(place for place, count in enumerate(part) if count)
                if any(apart <= present for apart in self._apart):
                    continue
                answer = self._fits(part)
                if answer:
                    self.best = part
                    return
                refuted = refuted and answer is False
                if answer is False and self._fits(tuple(min(count, 1) for count in part)) is False:
                    self._apart.append(present)
                if self.trial.spent:
                    return
            if not refuted:
                return
            self.at_most -= 1


def _largest(fits: Callable[[int], bool], most: int) -> int:
    """The largest number up to ``most`` that fits, 0 where not even 1 does; less is never harder."""
    low, high = 0, most + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
