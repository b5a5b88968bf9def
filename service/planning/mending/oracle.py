"""Whether a packing problem has an answer, within search steps that many questions share."""

from __future__ import annotations

from dataclasses import dataclass

from service.planning.mending.trial import Trial
from service.planning.packing import solve
from service.planning.packing.problem import Problem
from service.planning.relaxing import EXPLAINING_NODES


@dataclass(slots=True)
class Oracle:
    """Asks the packing core at the expense of a trial."""

    trial: Trial

    def fits(self, problem: Problem) -> bool | None:
        """Whether it fits; None where that was not decided, or no search steps are left."""
        if self.trial.spent:
            return None
        packing = solve(problem, min(EXPLAINING_NODES, self.trial.nodes_left))
        self.trial.charge(problem, packing)
        return packing.fits
