"""The mixed-integer program that benchmarks measure against is right: held against trying everything."""

from __future__ import annotations

import pytest

from tests.planning.packing.brute import best_packing
from tests.planning.packing.cases import tiny

highs_model = pytest.importorskip("tests.bench.highs_model", reason="HiGHS is not installed", exc_type=ImportError)


@pytest.mark.parametrize("start", range(810_000, 810_200, 50))
def test_the_yardstick_finds_what_trying_everything_finds(start: int) -> None:
    """Cost, height, hanging trays opened and pieces agree on small problems with every rule, or both find nothing."""
    for seed in range(start, start + 50):
        problem = tiny(seed)
        solved = highs_model.judged_by_highs(problem, seconds=20.0)
        assert solved.proven, f"seed {seed}"
        assert solved.values == best_packing(problem), f"seed {seed}"
