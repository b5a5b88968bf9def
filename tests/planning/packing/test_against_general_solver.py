"""The core against a general solver, on closures of realistic size."""

from __future__ import annotations

import pytest

from service.planning.packing import solve
from tests.planning.packing.cases import FAMILIES, realistic, tiny
from tests.planning.packing.check import faults
from tests.planning.packing.general_solver import judged_by_general_solver


def agree(packing_problem) -> bool:
    """Whether both were proven; fails where they differ or a bound is passed."""
    problem = packing_problem
    packing = solve(problem, node_limit=8_000)
    verdict = judged_by_general_solver(problem, seconds=2.0)
    if verdict.values is None:
        if verdict.proven:
            assert not packing.fits
        return verdict.proven and packing.fits is False
    assert packing.fits is not False
    if packing.bounds is None:
        return False
    assert faults(problem, packing) == []
    reached = (packing.bounds.cost, packing.bounds.height, packing.bounds.opened, packing.bounds.pieces)
    if packing.bounds.optimal:
        assert reached <= verdict.values
    if verdict.proven:
        assert verdict.values <= reached
        assert packing.bounds.cost_bound <= verdict.values[0]
    return packing.bounds.optimal and verdict.proven


@pytest.mark.parametrize("family", [f for f in FAMILIES if f not in ("extreme", "hub")])
def test_realistic_closures_agree_with_a_general_solver(family: str) -> None:
    """No proven value is above or below what the general solver finds."""
    both = sum(agree(realistic(family, seed)) for seed in range(4))
    assert both >= 1, "nothing was compared"


def test_small_closures_agree_with_a_general_solver() -> None:
    """The same on small problems with every rule at once; two independent references then agree."""
    assert sum(agree(tiny(seed)) for seed in range(700_000, 700_060)) >= 50
