"""What the keep-apart labels cost at least, and a packing made of one packing for each label.

The trays of one label serve no other, so what each label needs by itself adds up.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from service.planning.packing.case import WHOLE, Case
from service.planning.packing.drafts import Draft, trays_for
from service.planning.packing.laying import fitted
from service.planning.packing.problem import Packing, Problem

LABEL_NODES = 400
"""How many search nodes the packing of one label alone may take."""

LabelPacks = tuple[tuple[int, tuple[tuple[int, int], ...]], ...]
"""(tray kind, (item, splices) in it) of trays that hold labelled items only."""


@dataclass(frozen=True, slots=True)
class LabelFloor:
    """The weight that the labels need at least, and the packings of the labels that were found."""

    weight: int = 0
    packs: tuple[LabelPacks, ...] = ()


def floor_of_labels(problem: Problem, solve: Callable[[Problem, int], Packing]) -> LabelFloor | None:
    """The floor of all labels added up; None where one label alone already fits nowhere.

    Each label is packed by itself, without reserve and spare trays, for the fewest trays, for the least price where
    that is asked for, and for the least height. Whatever a packing of all does, the trays that hold a label's items
    pack that label, and no two labels share a tray: so the sums are lower bounds. Only valid where no trays hang.
    """
    bare = replace(problem, reserve=(), spare_trays=0, reserve_in="trays", minimise="trays")
    goals = [bare, replace(bare, kinds=tuple(replace(kind, price=kind.pitch) for kind in bare.kinds), minimise="price")]
    if problem.minimise == "price":
        goals.append(replace(bare, minimise="price"))
    weight = height = 0
    packs: list[list[tuple[int, tuple[tuple[int, int], ...]]] | None] = [[] for _ in goals]
    for label in sorted({item.label for item in problem.items if item.label is not None}):
        numbers = [n for n, item in enumerate(problem.items) if item.label == label and item.size]
        if not numbers:
            continue
        items = tuple(replace(problem.items[n], label=None) for n in numbers)
        answers = [solve(replace(goal, items=items), LABEL_NODES) for goal in goals]
        for goal, answer in enumerate(answers):
            found = packs[goal]
            if answer.fits is False:
                return None
            if answer.bounds is None or found is None:
                packs[goal] = None
                continue
            for tray in answer.trays:
                found.append((tray.kind, tuple((numbers[piece.item], piece.count) for piece in tray.pieces)))
        low, cheap = answers[1].bounds, answers[-1 if len(goals) > 2 else 0].bounds
        height += 0 if low is None else low.cost_bound
        if cheap is not None:
            weight += cheap.cost_bound * (problem.stack + 1) + cheap.height_bound
    if height > problem.stack:
        return None
    return LabelFloor(weight, tuple(tuple(found) for found in packs if found is not None))


def packed_in_turn(problem: Problem, solve: Callable[[Problem, int], Packing]) -> LabelPacks | None:
    """The labels packed one after another out of the trays that the labels before have left; None where one fails."""
    room = problem.stack
    most = [kind.most for kind in problem.kinds]
    by_label: dict[int, list[int]] = {}
    for number, item in enumerate(problem.items):
        if item.label is not None and item.size:
            by_label.setdefault(item.label, []).append(number)
    packs: list[tuple[int, tuple[tuple[int, int], ...]]] = []
    for numbers in sorted(by_label.values(), key=lambda row: (-sum(problem.items[n].size for n in row), row)):
        kinds = tuple(replace(kind, most=left) for kind, left in zip(problem.kinds, most, strict=True))
        items = tuple(replace(problem.items[n], label=None) for n in numbers)
        left = replace(problem, kinds=kinds, stack=room, items=items, reserve=(), spare_trays=0, reserve_in="trays")
        answer = solve(left, LABEL_NODES)
        if not answer.fits:
            return None
        for tray in answer.trays:
            most[tray.kind] -= 1
            room -= problem.kinds[tray.kind].pitch
            packs.append((tray.kind, tuple((numbers[piece.item], piece.count) for piece in tray.pieces)))
    return tuple(packs)


def composed(case: Case, packs: LabelPacks, order: Sequence[int]) -> Draft | None:
    """The labels' packings side by side, the other items in what room they leave and in trays added for them."""
    if any(case.cut_of[i] == WHOLE and n != case.sizes[i] for _, pieces in packs for i, n in pieces):
        # With fewer kinds to choose from an item can look oversize that is not.
        return None
    bought = case.berths[case.bought_from :]
    place = {berth.kind: number for number, berth in enumerate(bought)}
    counts = [0] * len(bought)
    for kind, _ in packs:
        counts[place[kind]] += 1
    placed = {item for _, pieces in packs for item, _ in pieces}
    others = [item for item in order if item not in placed]
    best: Draft | None = None
    for added in range(len(bought)):
        mix = list(counts)
        while True:
            height = sum(n * berth.pitch for n, berth in zip(mix, bought, strict=True))
            weight = sum(n * berth.weight for n, berth in zip(mix, bought, strict=True))
            if height > case.room or any(n > berth.most for n, berth in zip(mix, bought, strict=True)):
                break
            if best is not None and weight >= best.weight:
                break
            trays = trays_for(case, tuple(mix))
            for kind, pieces in packs:
                tray = next(t for t in trays if t.berth == case.bought_from + place[kind] and not t.pieces)
                for item, splices in pieces:
                    tray.put(case.likenesses[case.alike_of[item]], item, splices)
            draft = fitted(case, weight, tuple(mix), trays, others, (), best=True)
            if draft is not None:
                best = draft
                break
            mix[added] += 1
    return best
