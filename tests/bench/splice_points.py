"""Straight joints and branches as packing problems, by seed: what a core makes of the two commonest splice points.

Sizes are invented; the shapes are the trade's (common practice, no source): a straight joint goes on ribbon by ribbon,
so its bundles are tubes of one size and a rest; a branch leaves the through cable in a few tubes and feeds drops of
one to four ribbons, the small ones spliced fibre by fibre.
"""

from __future__ import annotations

from random import Random

from service.planning.packing import Item, Problem, TrayKind


def straight(seed: int) -> Problem:
    """Two cables of 96 to 864 fibres joined one to one, and trays of two banks, which most closures take."""
    rng = Random(f"straight-{seed}")
    ribbons = rng.choice((8, 12, 18, 24, 36, 48, 72))
    tube = rng.choice((4, 6, 6, 12))
    sizes = [tube] * (ribbons // tube) + ([ribbons % tube] if ribbons % tube else [])
    slots = rng.choice((6, 6, 8, 12))
    kinds = (TrayKind(18, 12, ((slots,), (slots,)), 35), TrayKind(12, 12, ((slots,),), 20))
    items = tuple(Item(0, size, (0, 0)) for size in sizes)
    return Problem(1, kinds, rng.choice((120, 240)), items, rng.choice(("never", "oversize")))


def branch(seed: int) -> Problem:
    """A through cable with 2 to 12 drops: ribbon splices of one to four a drop, some drops by single fibres."""
    rng = Random(f"branch-{seed}")
    kinds = (
        TrayKind(18, 10, ((6, 12), (6, 12)), 35),
        TrayKind(12, 8, ((6, 12),), 20),
        TrayKind(9, 10, ((0, 24),), 15),
    )
    items = []
    for _ in range(rng.randint(2, 12)):
        if rng.random() < 0.6:
            items += [Item(0, rng.randint(1, 4), (0, 0, None))]
        else:
            fibres = rng.choice((2, 4, 6, 12))
            items += [Item(1, fibres, (0, 0, 0))]
    items += [Item(0, rng.choice((4, 6)), (0, 0, None)) for _ in range(rng.randint(1, 4))]
    growth = rng.choice((0, 0, 20))
    reserve = tuple(-(-sum(i.size for i in items if i.slot_kind == s) * growth // 100) for s in (0, 1))
    return Problem(2, kinds, rng.choice((96, 200)), tuple(items), rng.choice(("never", "oversize")), reserve=reserve)
