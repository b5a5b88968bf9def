"""Fewest pieces where slots alone count: the most groups of bundles that fill trays of their own.

Link every bundle with the trays that it lies in. Where all hang together, so many bundles in so many trays take at
least bundles + trays - 1 pieces, and filling tray after tray takes no more. So the pieces are bundles + trays - groups,
and the fewest go with the most groups. With trays of equal size, lay the bundles one after another, with the slots
that stay unused between them: a group ends wherever a tray is just full. The order with most ends is found by
dynamic programming over how many bundles of each size, and how many unused slots, have been laid.
(Fewest fragments as in bin packing with item fragmentation, LeCun and co-authors 2015; the sum over the groups is the
count of the edges of a forest.)
"""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import LOOSE, WHOLE, Case
from service.planning.packing.drafts import Draft, OpenTray, closed, trays_for
from service.planning.packing.mixes import Mix

MOST_STATES = 120_000
"""Cases with more counts of bundles and unused slots than this are left to the search over cuts."""

STATES_A_NODE = 16
"""How many states count as a node."""

UNUSED = -1
"""A step that leaves a slot unused."""


def slots_alone_count(case: Case) -> bool:
    """Whether nothing but slots of one kind limits what lies where, and every bundle may be cut anywhere."""
    if case.columns > 1 or case.has_hanging or case.in_stack or case.spare:
        return False
    if any(cut == WHOLE and size > 1 for cut, size in zip(case.cut_of, case.sizes, strict=True)):
        return False
    limited = any(berth.storage is not None for berth in case.berths)
    entries = any(berth.ribbons is not None for berth in case.berths)
    return all(
        alike.slots == 1
        and alike.label is None
        and None not in alike.storage
        and not (limited and any(alike.storage))
        and not (entries and alike.ribbons)
        for alike in case.likenesses
    )


def fewest_by_groups(case: Case, weight: int, mixes: Sequence[Mix], budget: Budget) -> Draft | None:
    """The packing of these mixes with the fewest pieces there are; None where it was not found out.

    Spends nodes only where the dynamic programming is small enough for what is left of them.
    """
    if not slots_alone_count(case):
        return None
    best: Draft | None = None
    for mix in mixes:
        trays = trays_for(case, mix)
        if len({case.berths[tray.berth].settings[0][0] for tray in trays}) != 1:
            return None
        try:
            steps = most_groups(case, trays, budget)
        except OutOfNodesError:
            return None
        draft = None if steps is None else laid(case, weight, mix, trays, steps)
        if draft is None:
            return None
        if best is None or draft.pieces < best.pieces:
            best = draft
    return best


def bundles_of(case: Case) -> dict[int, list[int]]:
    """The counted items by their size, the largest sizes first."""
    found: dict[int, list[int]] = {}
    for item, (size, cut) in enumerate(zip(case.sizes, case.cut_of, strict=True)):
        if size and cut != LOOSE:
            found.setdefault(size, []).append(item)
    return dict(sorted(found.items(), reverse=True))


def most_groups(case: Case, trays: Sequence[OpenTray], budget: Budget) -> list[int] | None:
    """An order of steps, sizes and ``UNUSED``, in which trays are just full most often; None where it is too long."""
    slots = case.berths[trays[0].berth].settings[0][0]
    bundles = bundles_of(case)
    sizes = list(bundles)
    counts = [len(bundles[size]) for size in sizes]
    unused = len(trays) * slots - sum([size * count for size, count in zip(sizes, counts, strict=True)])
    states = unused + 1
    strides: list[int] = []
    for count in counts:
        strides.append(states)
        states *= count + 1
    if states > MOST_STATES or unused < 0:
        return None
    budget.spend(1 + states // STATES_A_NODE)
    # A state's number is its unused slots, then its counts by their strides; all states before it have lower numbers.
    totals = list(range(unused + 1))
    for size, count in zip(sizes, counts, strict=True):
        totals += [total + some * size for some in range(1, count + 1) for total in totals]
    most = [0] * states
    before = [(1, unused + 1), *[(stride, stride * (count + 1)) for stride, count in zip(strides, counts, strict=True)]]
    for state in range(1, states):
        groups = 0
        for stride, cycle in before:
            if state % cycle >= stride and most[state - stride] > groups:
                groups = most[state - stride]
        most[state] = groups if totals[state] % slots else groups + 1
    steps: list[int] = []
    state = states - 1
    while state:
        groups = most[state] if totals[state] % slots else most[state] - 1
        for size, (stride, cycle) in zip([UNUSED, *sizes], before, strict=True):
            if state % cycle >= stride and most[state - stride] == groups:
                steps.append(size)
                state -= stride
                break
    return steps[::-1]


def laid(case: Case, weight: int, mix: Mix, trays: list[OpenTray], steps: Sequence[int]) -> Draft | None:
    """The packing that comes of laying the bundles in that order, cut where a tray is full."""
    slots = case.berths[trays[0].berth].settings[0][0]
    waiting = {size: items[::-1] for size, items in bundles_of(case).items()}
    at = 0
    for step in steps:
        if step == UNUSED:
            at += 1
            continue
        item, left = waiting[step].pop(), step
        while left:
            part = min(left, slots - at % slots)
            trays[at // slots].put(case.likenesses[case.alike_of[item]], item, part)
            at += part
            left -= part
    for item, (size, cut) in enumerate(zip(case.sizes, case.cut_of, strict=True)):
        if cut == LOOSE:
            alike = case.likenesses[case.alike_of[item]]
            for tray in trays:
                part = min(size, tray.room(alike))
                if part:
                    tray.put(alike, item, part)
                    size -= part
    return closed(case, weight, mix, trays)
