"""First-fit and best-fit decreasing as a planner would do them by hand, to see how many trays they waste."""

from __future__ import annotations

from service.planning.packing import Problem


def trays_by_rule(problem: Problem, best: bool) -> int | None:
    """Trays that the rule buys, always of the kind with most slots, all banks set for the bundle that opens the tray.

    Bundles larger than an empty tray are cut into whole trays first. None where the rule finds no room, or where the
    problem has hanging trays or a reserve, which the rules do not know.
    """
    if problem.hanging or any(problem.reserve) or problem.minimise != "trays":
        return None
    counts = [0] * len(problem.kinds)
    room = problem.stack
    trays: list[list[int | None]] = []  # kind, slot kind, slots left, storage left, label
    pieces = []
    for item in problem.items:
        most = max(sum(bank[item.slot_kind] for bank in kind.banks) for kind in problem.kinds)
        left = item.size
        while left:
            part = min(left, most)
            pieces.append((part, item))
            left -= part
    for size, item in sorted(pieces, key=lambda pair: -pair[0]):
        chosen = None
        for tray in trays:
            kind, slot_kind, slots, storage, label = tray
            stored = size * (item.storage[kind or 0] or 0)
            if slot_kind != item.slot_kind or (slots or 0) < size or (storage is not None and storage < stored):
                continue
            if item.label is not None and label is not None and label != item.label:
                continue
            if chosen is None or (best and (slots or 0) < (chosen[2] or 0)):
                chosen = tray
                if not best:
                    break
        if chosen is None:
            fits = []
            for k, kind in enumerate(problem.kinds):
                slots = sum(bank[item.slot_kind] for bank in kind.banks)
                stored = size * (item.storage[k] or 0)
                channel = kind.storage is None or kind.storage >= stored
                if channel and counts[k] < kind.most and kind.pitch <= room and slots >= size:
                    fits.append((slots, -k))
            if not fits:
                return None
            slots, k = max(fits)
            counts[-k] += 1
            room -= problem.kinds[-k].pitch
            chosen = [-k, item.slot_kind, slots, problem.kinds[-k].storage, None]
            trays.append(chosen)
        chosen[2] = (chosen[2] or 0) - size
        if chosen[3] is not None:
            chosen[3] -= size * (item.storage[chosen[0] or 0] or 0)
        if item.label is not None:
            chosen[4] = item.label
    return len(trays)
