"""Whole columns out of the linear programme: by fixing them one after another, or by the solver's own search.

Every answer is rebuilt and checked, so nothing rests on the solver's arithmetic.
"""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.budget import Budget
from service.planning.packing.mixes import Mix
from service.planning.packing.patterns.generating import relaxed
from service.planning.packing.patterns.master import Master
from service.planning.packing.patterns.pricing import Pricing
from service.planning.packing.patterns.rows import LARGEST

NEAR = 1e-5
"""How far from whole a share may be that counts as whole."""


WHOLE_NODES = 200
"""How many nodes the solver's own search for whole columns may take; each counts as ten."""


def whole_shares(shares: Sequence[float]) -> list[int] | None:
    """The shares as counts where all are whole."""
    counts = [round(share) for share in shares]
    return counts if all(abs(s - n) < NEAR for s, n in zip(shares, counts, strict=True)) else None


def dived(master: Master, pricing: Pricing, mix: Mix, shares: Sequence[float], budget: Budget) -> list[int] | None:
    """Fix whole shares, then the largest one rounded up, and solve again, until all are whole; None where it fails."""
    fixed: dict[int, int] = {}
    try:
        while True:
            counts = whole_shares(shares)
            if counts is not None:
                return counts
            before = dict(fixed)
            for place, share in enumerate(shares):
                if int(share + NEAR) > fixed.get(place, 0):
                    fixed[place] = int(share + NEAR)
            if fixed == before:
                place = max(range(len(shares)), key=lambda p: (shares[p] - fixed.get(p, 0), -p))
                fixed[place] = fixed.get(place, 0) + 1
            for place, count in fixed.items():
                master.solver.changeColBounds(master.column_from + place, float(count), LARGEST)
            answer = relaxed(master, pricing, mix, budget)
            if not answer.roomy:
                return None
            shares = answer.shares
    finally:
        for place in fixed:
            master.solver.changeColBounds(master.column_from + place, 0.0, LARGEST)


def counted(master: Master, budget: Budget) -> list[int] | None:
    """How often each column of the pool is taken, so that nothing is missing; None where none was found."""
    import highspy

    budget.spend(WHOLE_NODES * 10)
    solver = master.solver
    numbers = list(range(master.column_from, master.used))
    solver.changeColsIntegrality(len(numbers), numbers, [highspy.HighsVarType.kInteger] * len(numbers))
    for number in master.missing:
        solver.changeColBounds(number, 0.0, 0.0)
    solver.setOptionValue("mip_max_nodes", WHOLE_NODES)
    solver.setOptionValue("presolve", "on")
    try:
        solver.run()
        values = list(solver.getSolution().col_value) if solver.getInfo().primal_solution_status == 2 else None
    finally:
        solver.changeColsIntegrality(len(numbers), numbers, [highspy.HighsVarType.kContinuous] * len(numbers))
        for number in master.missing:
            solver.changeColBounds(number, 0.0, LARGEST)
        solver.setOptionValue("presolve", "off")
    return None if values is None else [round(value) for value in values[master.column_from :]]
