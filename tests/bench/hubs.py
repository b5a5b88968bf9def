"""Hubs: 288 splices in about 43 bundles that fill twelve of the larger trays to the last slot."""

from __future__ import annotations

from random import Random
from typing import Literal

from service.planning.packing import Item, Problem, TrayKind

SIZES = (2, 3, 4, 5, 6, 6, 6, 7, 8, 8, 9, 10, 11, 12, 12)


def hub(seed: int, split: Literal["never", "oversize", "free"], slot_kinds: int = 1, labels: int = 0) -> Problem:
    """A hub with so many slot kinds and keep-apart labels; half of the bundles have a label. Sizes are invented."""
    rng = Random(seed)
    items: list[Item] = []
    left = 288
    while left > 0:
        size = min(left, rng.choice(SIZES))
        left -= size
        slot_kind = rng.randrange(slot_kinds) if slot_kinds > 1 else 0
        items.append(Item(slot_kind, size, (0, 0), rng.randrange(labels) if labels and rng.random() < 0.5 else None))
    bank = (12,) * slot_kinds
    return Problem(slot_kinds, (TrayKind(10, 40, (bank,)), TrayKind(18, 20, (bank, bank))), 600, tuple(items), split)


HUBS = {
    f"hub_{split}_{kinds}k_{labels}l": (split, kinds, labels)
    for split in ("never", "free")
    for kinds, labels in ((1, 0), (3, 0), (1, 8), (2, 24))
}
"""Families of hubs: split rule, slot kinds, labels."""
