"""Problems between those that can be tried out and those of the trade: every rule at once, in any combination."""

from __future__ import annotations

from random import Random

from service.planning.packing import HangingTray, Item, Problem, TrayKind


def tray_kinds(rng: Random, slot_kinds: int) -> tuple[TrayKind, ...]:
    """One to four tray kinds of one to three banks, alike or not."""
    most_slots = rng.choice((6, 8, 12))
    store, enter = rng.random() < 0.4, rng.random() < 0.25
    kinds = []
    for _ in range(rng.randint(1, 4)):
        bank = tuple(rng.randint(0 if rng.random() < 0.15 else 2, most_slots) for _ in range(slot_kinds))
        other = tuple(rng.randint(0, most_slots) for _ in range(slot_kinds))
        count = rng.randint(1, 3)
        banks = (bank,) * count if rng.random() < 0.7 else (*(bank,) * (count - 1), other)
        kinds.append(
            TrayKind(
                pitch=rng.choice((3, 4, 6, 7, 10)),
                most=rng.choice((1, 2, 4, 6, 10)),
                banks=banks,
                price=rng.randint(10, 60) if rng.random() < 0.9 else 0,
                storage=rng.randint(20, 70) if store and rng.random() < 0.8 else None,
                ribbons=rng.randint(8, 24) if enter and rng.random() < 0.8 else None,
            )
        )
    return tuple(kinds)


def items(rng: Random, slot_kinds: int, kinds: int, labels: int) -> tuple[Item, ...]:
    """Four to twenty bundles, often several alike, and parked ends in some problems."""
    found: list[Item] = []
    loose_share = rng.choice((0.0, 0.0, 0.2))
    masks = rng.random() < 0.15
    largest = rng.choice((3, 6, 8, 14))
    for _ in range(rng.randint(4, 20)):
        if found and rng.random() < 0.3:
            found.append(rng.choice(found))
            continue
        loose = rng.random() < loose_share
        found.append(
            Item(
                slot_kind=rng.randrange(slot_kinds),
                size=rng.randint(1, largest),
                storage=tuple(None if masks and rng.random() < 0.2 else rng.randint(0, 6) for _ in range(kinds)),
                label=rng.randrange(labels) if labels and not loose and rng.random() < 0.6 else None,
                ribbons=rng.randint(0, 2),
                slots=0 if loose and rng.random() < 0.6 else 1,
                loose=loose,
            )
        )
    return tuple(found)


def hanging(rng: Random, kinds: tuple[TrayKind, ...], labels: int) -> tuple[HangingTray, ...]:
    """Up to four trays that hang; banks in use give what they are set to."""
    trays = []
    left = [kind.most for kind in kinds]
    for _ in range(rng.choice((0, 0, 1, 2, 4))):
        number = rng.randrange(len(kinds))
        if not left[number]:
            continue
        left[number] -= 1
        kind = kinds[number]
        banks: list[tuple[int | None, int]] = []
        for bank in kind.banks:
            given = [s for s, slots in enumerate(bank) if slots]
            if given and rng.random() < 0.6:
                s = rng.choice(given)
                banks.append((s, rng.randint(0, bank[s])))
            else:
                banks.append((None, 0))
        label = rng.randrange(labels) if labels and rng.random() < 0.4 else None
        stored = rng.randint(0, min(15, kind.storage or 0))
        trays.append(HangingTray(number, tuple(banks), label, stored, rng.randint(0, min(4, kind.ribbons or 0))))
    return tuple(trays)


def medium(seed: int) -> Problem:
    """A problem of up to twenty bundles under any combination of the rules."""
    rng = Random(f"medium-{seed}")
    slot_kinds = rng.choice((1, 1, 2, 3))
    labels = rng.choice((0, 0, 2, 3, 5))
    kinds = tray_kinds(rng, slot_kinds)
    reserve: tuple[int, ...] = ()
    if rng.random() < 0.35:
        reserve = tuple(rng.choice((0, 1, 3, 6)) for _ in range(slot_kinds))
    return Problem(
        slot_kinds=slot_kinds,
        kinds=kinds,
        stack=rng.choice((30, 40, 60, 90)),
        items=items(rng, slot_kinds, len(kinds), labels),
        split=rng.choice(("never", "oversize", "free")),
        minimise=rng.choice(("trays", "trays", "price")),
        reserve=reserve,
        reserve_in=rng.choice(("trays", "stack")),
        spare_trays=rng.choice((0, 0, 0, 1)),
        hanging=hanging(rng, kinds, labels),
    )
