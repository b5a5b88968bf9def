"""An independent judge of a packing: every rule of the problem, checked from the answer alone."""

from __future__ import annotations

from itertools import product

from service.planning.packing.problem import Packing, Problem
from tests.planning.packing.brute import largest_part


def faults(problem: Problem, packing: Packing) -> list[str]:
    """What is wrong with a packing that claims to fit; empty where nothing is."""
    wrong: list[str] = []
    bounds = packing.bounds
    if bounds is None:
        return ["no bounds"]
    placed: dict[int, list[int]] = {n: [] for n in range(len(problem.items))}
    free = [0] * problem.slot_kinds
    counts = [0] * len(problem.kinds)
    height = cost = opened = 0
    total_pitch = 0
    if sorted(t.hanging for t in packing.trays if t.hanging is not None) != list(range(len(problem.hanging))):
        wrong.append("the hanging trays are not all there once")
    for tray in packing.trays:
        kind = problem.kinds[tray.kind]
        counts[tray.kind] += 1
        total_pitch += kind.pitch
        state = None if tray.hanging is None else problem.hanging[tray.hanging]
        if state is None:
            height += kind.pitch
            cost += 1 if problem.minimise == "trays" else kind.price or 0
        else:
            opened += bool(tray.pieces)
            if state.kind != tray.kind:
                wrong.append("a hanging tray changed its kind")
        given = [0] * problem.slot_kinds
        if len(tray.banks) != len(kind.banks):
            wrong.append("banks missing")
        for number, setting in enumerate(tray.banks):
            in_use, taken = (None, 0) if state is None else state.banks[number]
            if in_use is not None and setting != in_use:
                wrong.append("a bank in use changed its slot kind")
            if setting is not None:
                given[setting] += kind.banks[number][setting] - taken
        stored = 0 if state is None else state.storage_used
        ribbons = 0 if state is None else state.ribbons_used
        labels = set() if state is None or state.label is None else {state.label}
        if len({piece.item for piece in tray.pieces}) != len(tray.pieces):
            wrong.append("an item twice in one tray")
        for piece in tray.pieces:
            item = problem.items[piece.item]
            storage = item.storage[tray.kind]
            if piece.count <= 0:
                wrong.append("an empty piece")
            if storage is None:
                wrong.append("an item in a kind that it may not lie in")
            placed[piece.item].append(piece.count)
            given[item.slot_kind] -= piece.count * item.slots
            stored += piece.count * (storage or 0)
            ribbons += piece.count * item.ribbons
            if item.label is not None:
                labels.add(item.label)
        if min(given, default=0) < 0:
            wrong.append("more slots used than given")
        if kind.storage is not None and stored > kind.storage and tray.pieces:
            wrong.append("storage passed")
        if kind.ribbons is not None and ribbons > kind.ribbons and tray.pieces:
            wrong.append("ribbons passed")
        if len(labels) > 1 and tray.pieces:
            wrong.append("two labels in one tray")
        free = [a + b for a, b in zip(free, given, strict=True)]
    pieces = 0
    for number, parts in placed.items():
        item = problem.items[number]
        if sum(parts) != item.size:
            wrong.append("an item is not placed exactly once")
        may_split = item.loose or problem.split == "free"
        cut = len(parts) > 1 and not may_split
        if cut and (problem.split == "never" or item.size <= largest_part(problem, number)):
            wrong.append("an item is split against the rule")
        pieces += 0 if item.loose else len(parts)
    if (bounds.cost, bounds.height, bounds.opened, bounds.pieces) != (cost, height, opened, pieces):
        wrong.append(f"values claimed {bounds} are not those of the trays {(cost, height, opened, pieces)}")
    if (
        bounds.cost_bound > cost
        or (bounds.cost_bound == cost and bounds.height_bound > height)
        or bounds.opened_bound > opened
        or bounds.pieces_bound > pieces
    ):
        wrong.append("a bound passes its value")
    for kind in packing.later:
        counts[kind] += 1
        total_pitch += problem.kinds[kind].pitch
    if total_pitch > problem.stack:
        wrong.append("stack passed")
    if any(count > kind.most for count, kind in zip(counts, problem.kinds, strict=True)):
        wrong.append("more trays of a kind than its most")
    if len(packing.later) < problem.spare_trays:
        wrong.append("spare trays missing")
    reserve = [*problem.reserve, *[0] * (problem.slot_kinds - len(problem.reserve))]
    banks = [bank for k in packing.later for bank in problem.kinds[k].banks] if problem.reserve_in == "stack" else []
    wanted = tuple(max(0, r - f) for r, f in zip(reserve, free, strict=True))
    states = {wanted}
    for bank in banks:
        states = {
            tuple(max(0, n - (bank[s] if s == at else 0)) for at, n in enumerate(state))
            for state, s in product(states, range(problem.slot_kinds))
        }
    if not any(sum(state) == 0 for state in states):
        wrong.append("reserve not kept")
    return wrong
