"""Trying a change: the same work judged again with something else, within a bounded number of search steps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from service.domain.catalogue import Catalogue, Closure, Sleeve
from service.domain.request import PlanRequest, Rules
from service.domain.splices import Work
from service.planning.express_room import CablesByTag
from service.planning.judge import Verdict, judge
from service.planning.packing.problem import Packing, Problem
from service.planning.relaxing import EXPLAINING_NODES
from service.planning.stowage import Stowage

A_TRY = 60
"""Search steps that a try is counted as beside those it takes: reading a problem takes time too."""

A_BUNDLE = 5
"""And so many for each bundle, and for each hanging tray."""


@dataclass(slots=True)
class Trial:
    """What is tried, and how many search steps all the tries together may still take.

    When they are used up every further try says that it does not fit, so nothing untried is ever promised.
    """

    request: PlanRequest
    work: Work
    catalogue: Catalogue
    stowage: Stowage
    cables: CablesByTag
    closure: Closure
    nodes_left: int

    @property
    def spent(self) -> bool:
        """Whether no further try will be made."""
        return self.nodes_left <= 0

    def judged(
        self,
        *,
        rules: Rules | None = None,
        work: Work | None = None,
        closure: Closure | None = None,
        cables: CablesByTag | None = None,
        sleeves: Mapping[int, Sleeve] = MappingProxyType({}),
    ) -> Verdict | None:
        """The verdict with these changes made; None where no search steps are left."""
        if self.spent:
            return None
        request = self.request if rules is None else replace(self.request, rules=rules)
        verdict = judge(
            self.closure if closure is None else closure,
            request,
            self.work if work is None else work,
            self.catalogue,
            self.stowage_for(request.rules),
            self.cables if cables is None else cables,
            min(EXPLAINING_NODES, self.nodes_left),
            sleeves,
        )
        self.charge(verdict.demand.problem, verdict.packing)
        return verdict

    def charge(self, problem: Problem | None, packing: Packing | None) -> None:
        """Take a try off the search steps that are left."""
        self.nodes_left -= A_TRY
        if problem is not None:
            self.nodes_left -= A_BUNDLE * (len(problem.items) + len(problem.hanging))
        if packing is not None:
            self.nodes_left -= packing.nodes

    def fits(
        self,
        *,
        rules: Rules | None = None,
        work: Work | None = None,
        closure: Closure | None = None,
        sleeves: Mapping[int, Sleeve] = MappingProxyType({}),
    ) -> bool:
        """Whether it was shown to fit with these changes."""
        verdict = self.judged(rules=rules, work=work, closure=closure, sleeves=sleeves)
        return verdict is not None and verdict.fits

    def stowage_for(self, rules: Rules) -> Stowage:
        """The ends in the trays under some rules; the request's own are worked out already."""
        if rules is self.request.rules:
            return self.stowage
        return Stowage(rules, self.catalogue, {tag: cable for tag, (_, cable) in self.cables.items()})
