"""Seeded packing problems, tiny ones that can be tried out and realistic families for timing."""

from __future__ import annotations

from math import comb, prod
from random import Random

from service.planning.packing.problem import HangingTray, Item, Problem, TrayKind


def ways(items: list[Item], split: str, trays: int = 4) -> int:
    """About how many ways there are to lay the items into so many trays."""
    divided = [comb(i.size + trays - 1, i.size) if i.loose or split == "free" or i.size > 6 else trays for i in items]
    return prod(divided)


def tiny(seed: int) -> Problem:
    """A problem small enough to try everything, with every rule of the model turning up now and then."""
    rng = Random(seed)
    slot_kinds = rng.choice((1, 1, 2, 2, 3))
    most_slots = rng.choice((3, 4, 6))
    kinds = []
    store = rng.random() < 0.4
    enter = rng.random() < 0.25
    for _ in range(rng.randint(1, 3)):
        if rng.random() < 0.6:
            bank = tuple(rng.randint(1 if rng.random() < 0.8 else 0, most_slots) for _ in range(slot_kinds))
            banks = tuple(bank for _ in range(rng.randint(1, 2)))
        else:
            banks = tuple(
                tuple(rng.randint(0, most_slots) for _ in range(slot_kinds)) for _ in range(rng.randint(1, 2))
            )
        kinds.append(
            TrayKind(
                pitch=rng.randint(1, 4),
                most=rng.choice((0, 1, 2, 3, 3)),
                banks=banks,
                price=rng.randint(0, 6) if rng.random() < 0.2 else rng.randint(2, 9),
                storage=rng.randint(4, 20) if store and rng.random() < 0.8 else None,
                ribbons=rng.randint(3, 9) if enter and rng.random() < 0.8 else None,
            )
        )
    labels = rng.choice((0, 0, 1, 2, 3))
    split = rng.choice(("never", "oversize", "free"))
    loose_share = rng.choice((0.0, 0.0, 0.3))
    masks = rng.random() < 0.2
    items = []
    largest = rng.choice((2, 4, 5) if split != "free" else (2, 3, 4))
    for _ in range(rng.randint(0, 5)):
        loose = rng.random() < loose_share
        items.append(
            Item(
                slot_kind=rng.randrange(slot_kinds),
                size=rng.randint(1, largest) + (rng.randint(0, 4) if split == "oversize" and rng.random() < 0.2 else 0),
                storage=tuple(None if masks and rng.random() < 0.25 else rng.randint(0, 3) for _ in kinds),
                label=rng.randrange(labels) if labels and rng.random() < 0.7 else None,
                ribbons=rng.randint(0, 2),
                slots=0 if loose and rng.random() < 0.6 else 1,
                loose=loose,
            )
        )
    if items and rng.random() < 0.3:
        items.append(items[0])
    while ways(items, split) > 30_000:
        items.pop()
    hanging = []
    if rng.random() < 0.45:
        for _ in range(rng.randint(1, 2)):
            kind = rng.randrange(len(kinds))
            banks_in_use: list[tuple[int | None, int]] = []
            for bank in kinds[kind].banks:
                if rng.random() < 0.5:
                    s = rng.randrange(slot_kinds)
                    banks_in_use.append((s, rng.randint(0, bank[s])))
                else:
                    banks_in_use.append((None, 0))
            hanging.append(
                HangingTray(
                    kind=kind,
                    banks=tuple(banks_in_use),
                    label=rng.randrange(labels) if labels and rng.random() < 0.5 else None,
                    storage_used=rng.randint(0, min(4, kinds[kind].storage or 0)),
                    ribbons_used=rng.randint(0, min(2, kinds[kind].ribbons or 0)),
                )
            )
    reserve: tuple[int, ...] = ()
    if rng.random() < 0.35:
        reserve = tuple(rng.choice((0, 1, 2, 4)) for _ in range(slot_kinds))
    return Problem(
        slot_kinds=slot_kinds,
        kinds=tuple(kinds),
        stack=rng.choice((3, 5, 7, 8, 9, 10, 11)),
        items=tuple(items),
        split=split,  # type: ignore[arg-type]
        minimise=rng.choice(("trays", "price")),  # type: ignore[arg-type]
        reserve=reserve,
        reserve_in=rng.choice(("trays", "stack")),  # type: ignore[arg-type]
        spare_trays=rng.choice((0, 0, 0, 0, 0, 1, 2)),
        hanging=tuple(hanging),
    )


FAMILIES = (
    "ordinary", "two_kinds", "mixed_slots", "keep_apart", "storage", "addition",
    "reserve", "price", "oversize", "free", "tight", "hub", "extreme",
)  # fmt: skip
"""Families of realistic closures, by what is special about them."""


def realistic(family: str, seed: int) -> Problem:
    """A closure as the trade knows it: trays of some banks, ribbons and single fibres, growth, labels, hanging trays.

    Sizes are invented. Most families bring up to 40 bundles; ``hub`` about 288 splices in 60, ``extreme`` also 24
    labels, three slot kinds and five tray kinds.
    """
    rng = Random(f"{family}-{seed}")
    slot_kinds = {"mixed_slots": 2, "extreme": 3, "storage": 2, "addition": 2}.get(family, 1)
    per_bank = [12, 6, 4] if slot_kinds > 1 else [rng.choice((6, 8, 12))]
    bank = tuple(per_bank[:slot_kinds])
    limited = family in ("storage", "extreme")
    kinds = [
        TrayKind(
            pitch=10,
            most=12 if family not in ("hub", "extreme") else 24,
            banks=(bank, bank),
            price=rng.randint(20, 40),
            storage=rng.randint(90, 150) if limited else None,
            ribbons=None,
        )
    ]
    if family in ("two_kinds", "price", "storage", "extreme", "hub"):
        kinds.append(TrayKind(6, 12, (bank,), rng.randint(11, 25), 70 if limited else None))
    if family in ("price", "extreme"):
        kinds.append(TrayKind(14, 8, (bank, bank, bank), rng.randint(30, 60), 190 if limited else None))
    if family == "extreme":
        kinds.append(TrayKind(12, 6, (bank, tuple(n // 2 for n in bank)), 33, 120))
        kinds.append(TrayKind(8, 6, (tuple(n + 2 for n in bank),), 27, 80))
    count = {"hub": 60, "extreme": 60}.get(family) or rng.randint(4, 40)
    largest = max(1, bank[-1] * 2 if slot_kinds > 1 else bank[0] * 2)
    labels = {"keep_apart": rng.randint(2, 8), "extreme": 24}.get(family, 0)
    split = {"free": "free", "tight": "free", "oversize": "oversize"}.get(family, rng.choice(("never", "oversize")))
    items = []
    for _ in range(count):
        kind = rng.randrange(slot_kinds)
        size = rng.choice((1, 2, 2, 3, 4, 4, 6, 6, 6, 8, 12)) if family != "hub" else rng.randint(1, 9)
        size = min(size, largest)
        if family == "oversize" and rng.random() < 0.3:
            size = rng.randint(largest + 1, 3 * largest)
        stored = rng.choice((2, 4, 6))
        items.append(
            Item(
                slot_kind=kind,
                size=size,
                storage=tuple(stored for _ in kinds),
                label=rng.randrange(labels) if labels and rng.random() < 0.8 else None,
            )
        )
    if family == "tight":
        sizes = [rng.choice((5, 7)) for _ in range(rng.randint(6, 24))]
        items = [Item(0, size, (0,) * len(kinds)) for size in sizes]
    total = [sum(item.size for item in items if item.slot_kind == s) for s in range(slot_kinds)]
    hanging = []
    if family == "addition":
        for _ in range(rng.randint(1, 4)):
            s = rng.randrange(slot_kinds)
            hanging.append(HangingTray(0, ((s, rng.randint(1, bank[s])), (None, 0))))
    reserve = tuple(-(-n // 5) for n in total) if family in ("reserve", "extreme", "addition") else ()
    return Problem(
        slot_kinds=slot_kinds,
        kinds=tuple(kinds),
        stack=240 if family not in ("hub", "extreme") else 480,
        items=tuple(items),
        split=split,  # type: ignore[arg-type]
        minimise="price" if family == "price" else "trays",
        reserve=reserve,
        reserve_in=rng.choice(("trays", "stack")),  # type: ignore[arg-type]
        hanging=tuple(hanging),
    )
