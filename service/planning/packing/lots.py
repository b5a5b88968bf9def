"""What an exact search places: lots of equal bundles, and single splices where they may be divided at will."""

from __future__ import annotations

from service.planning.packing.case import CUT, LOOSE, WHOLE, Case, Lot


def runs_free(case: Case, alike: int) -> bool:
    """Whether single splices of this likeness lie wherever a slot of their kind is free, so that slots alone count."""
    likeness = case.likenesses[alike]
    return (
        not case.has_hanging
        and not case.in_stack
        and likeness.slots == 1
        and likeness.label is None
        and not any(likeness.storage)
        and None not in likeness.storage
        and (likeness.ribbons == 0 or all(berth.ribbons is None for berth in case.berths))
    )


def hardness(case: Case, lot: Lot) -> tuple[int, ...]:
    """Sorts lots, the ones that are hard to place first: label after label, then those that may join any tray."""
    likeness = case.likenesses[lot.alike]
    share = max((given[likeness.column] for b in case.berths for given in b.settings), default=1) or 1
    stored = max((s or 0 for s in likeness.storage), default=0)
    apart = (0, likeness.label) if likeness.label is not None else (1, 0)
    return (*apart, -(lot.size * likeness.slots * 10_000) // share, -lot.size * stored, -lot.size, lot.alike, lot.cut)


def lots_for_room(case: Case) -> list[Lot]:
    """Lots where only it matters whether all is placed: items that can be divided become single splices."""
    whole: dict[tuple[int, int], int] = {}
    single: dict[int, int] = {}
    for alike, size, cut in zip(case.alike_of, case.sizes, case.cut_of, strict=True):
        if not size:
            continue
        if cut == WHOLE:
            whole[alike, size] = whole.get((alike, size), 0) + 1
        elif not runs_free(case, alike):
            single[alike] = single.get(alike, 0) + size
    for alike, count in single.items():
        whole[alike, 1] = whole.get((alike, 1), 0) + count
    lots = [Lot(alike, size, count) for (alike, size), count in whole.items()]
    return sorted(lots, key=lambda lot: hardness(case, lot))


def lots_for_pieces(case: Case) -> list[Lot]:
    """Lots where pieces count: items that may be cut keep their size, loose ones become single splices."""
    counts: dict[tuple[int, int, int], int] = {}
    for alike, size, cut in zip(case.alike_of, case.sizes, case.cut_of, strict=True):
        if not size:
            continue
        if cut == LOOSE:
            if not runs_free(case, alike):
                counts[alike, 1, LOOSE] = counts.get((alike, 1, LOOSE), 0) + size
        else:
            key = (alike, size, CUT if cut == CUT and size > 1 else WHOLE)
            counts[key] = counts.get(key, 0) + 1
    lots = [Lot(alike, size, count, cut) for (alike, size, cut), count in counts.items()]
    return sorted(lots, key=lambda lot: hardness(case, lot))
