"""Packings that are not proven all the same have nothing in them that serves nothing."""

from __future__ import annotations

from random import Random

from service.planning.packing import Item, Problem, TrayKind, solve
from tests.planning.packing.check import faults


def many_labels(seed: int) -> Problem:
    """Bundles of two slot kinds under many labels, far more trays than they need, and cuts allowed."""
    rng = Random(f"many-labels-{seed}")
    kinds = tuple(TrayKind(pitch=10 + 3 * k, most=60, banks=((6 + 2 * k, 3), (6, 4 + k))) for k in range(4))
    items = tuple(
        Item(rng.randrange(2), rng.randint(2, 8), (0,) * 4, rng.randrange(20) if rng.random() < 0.9 else None)
        for _ in range(160)
    )
    return Problem(2, kinds, 100_000, items, split=rng.choice(("never", "free")))


def test_no_new_tray_stays_empty_where_no_reserve_is_asked() -> None:
    """Also where hardly any nodes are left for proof, each tray that is bought holds something."""
    unproven = 0
    for seed in range(6):
        problem = many_labels(seed)
        packing = solve(problem, node_limit=300)
        assert packing.fits and packing.bounds is not None
        unproven += not packing.bounds.optimal
        assert faults(problem, packing) == []
        assert all(tray.pieces for tray in packing.trays)
    assert unproven
