"""Whether trays can be set so that together they give the slots that are needed, and what may be added later.

For empty trays only their banks matter, and banks that are alike are interchangeable: how many of each likeness are
set to which slot kind settles it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations_with_replacement

from service.planning.packing.budget import Budget
from service.planning.packing.case import Berth
from service.planning.packing.settings import Vector

Groups = list[tuple[Vector, int]]
"""Banks that are alike (the slots of each column that one gives) and how many there are."""


def less(need: Vector, given: Vector) -> Vector:
    """What is left of a need once so much is given."""
    if len(need) == 1:
        left = need[0] - given[0]
        return (left,) if left > 0 else (0,)
    return tuple([n - g if n > g else 0 for n, g in zip(need, given, strict=True)])


def banks_for(need: Vector, slots: Vector) -> int | None:
    """How many equal banks cover a need; None where none give a column that is needed."""
    banks = 0
    for n, s in zip(need, slots, strict=True):
        if n:
            if not s:
                return None
            banks += -(-n // s)
    return banks


def cover_banks(groups: Groups, need: Vector, budget: Budget) -> dict[Vector, list[int]] | None:
    """How many banks of each likeness to set to each column so that the need is covered; None where that is impossible.

    Exact: the last and largest group is settled by division, the others by trying how many banks go to which column.
    """
    merged: dict[Vector, int] = {}
    for slots, count in groups:
        if count and any(slots):
            merged[slots] = merged.get(slots, 0) + count
    ordered = sorted(merged.items(), key=lambda pair: (pair[1], pair[0]))
    columns = len(need)
    # One weighing by which no bank gives more than it can: each column by the share of the largest bank.
    largest = [max([slots[c] for slots, _ in ordered], default=0) for c in range(columns)]
    if any(n and not slots for n, slots in zip(need, largest, strict=True)):
        return None
    unit = 1
    for c in range(columns):
        unit *= max(1, largest[c])
    share = [unit // max(1, slots) for slots in largest]
    gives = [max([g * w for g, w in zip(slots, share, strict=True)]) * count for slots, count in ordered]
    behind = [sum(gives[place:]) for place in range(len(gives) + 1)]
    failed: set[tuple[int, Vector]] = set()
    chosen: list[list[int]] = [[0] * columns for _ in ordered]

    def settle(place: int, left: Vector) -> bool:
        budget.spend()
        if not any(left):
            return True
        if place == len(ordered) or sum([n * w for n, w in zip(left, share, strict=True)]) > behind[place]:
            return False
        slots, count = ordered[place]
        if place == len(ordered) - 1:
            banks = banks_for(left, slots)
            if banks is None or banks > count:
                return False
            for c in range(columns):
                chosen[place][c] = -(-left[c] // slots[c]) if left[c] else 0
            return True
        key = (place, left)
        if key in failed:
            return False
        for some in shared_out(count, [-(-n // s) if s else 0 for n, s in zip(left, slots, strict=True)]):
            if settle(place + 1, less(left, tuple([k * s for k, s in zip(some, slots, strict=True)]))):
                chosen[place] = list(some)
                return True
        failed.add(key)
        return False

    if not settle(0, need):
        return None
    return {slots: counts for (slots, _), counts in zip(ordered, chosen, strict=True)}


def shared_out(count: int, most: list[int]) -> Iterator[tuple[int, ...]]:
    """Ways to set ``count`` banks: to each column as many as are of use at most, and no bank left idle."""
    if sum(most) <= count:
        yield tuple(most)
        return
    if len(most) == 1:
        yield (min(count, most[0]),)
        return
    rest = sum(most[1:])
    for some in range(min(count, most[0]), max(0, count - rest) - 1, -1):
        for others in shared_out(count - some, most[1:]):
            yield (some, *others)


def groups_of(berths: Sequence[tuple[Berth, int]], columns: int) -> tuple[Groups, Vector]:
    """The free banks of so many empty trays of each berth, and the slots they give whatever their banks are set to."""
    groups: Groups = []
    settled = [0] * columns
    for berth, count in berths:
        if count:
            for c in range(columns):
                settled[c] += berth.settled[c] * count
            groups.extend((slots, count) for slots in berth.free_banks)
    return groups, tuple(settled)


def set_trays(berths: Sequence[Berth], chosen: dict[Vector, list[int]]) -> list[Vector]:
    """Settings of empty trays that give the chosen columns."""
    stock = {slots: list(counts) for slots, counts in chosen.items()}
    settings: list[Vector] = []
    for berth in berths:
        given = list(berth.settled)
        for slots in berth.free_banks:
            counts = stock.get(slots)
            column = next((c for c, n in enumerate(counts) if n), None) if counts else None
            if counts and column is not None:
                counts[column] -= 1
                given[column] += slots[column]
        settings.append(
            next(setting for setting in berth.settings if all(s >= g for s, g in zip(setting, given, strict=True)))
        )
    return settings


def fewest_pitches(later: Sequence[tuple[Berth, int]], room: int, spare: int) -> list[int] | None:
    """The kinds of ``spare`` trays that take least of the stack; None where they do not fit."""
    added: list[int] = []
    for berth, most in sorted(later, key=lambda pair: (pair[0].pitch, pair[0].kind)):
        while spare > len(added) and most > 0 and berth.pitch <= room:
            added.append(berth.kind)
            most -= 1
            room -= berth.pitch
    return added if len(added) >= spare else None


def with_later(
    groups: Groups, need: Vector, later: Sequence[tuple[Berth, int]], room: int, spare: int, budget: Budget
) -> tuple[dict[Vector, list[int]], list[int]] | None:
    """Banks set and kinds added later that cover the need, the fewest later trays first; None where there are none."""
    alone = cover_banks(groups, need, budget)
    if alone is not None:
        added = fewest_pitches(later, room, spare)
        return None if added is None else (alone, added)
    flat = [number for number, (_, most) in enumerate(later) if most]
    count = max(1, spare)
    while flat and fewest_pitches(later, room, count) is not None:
        for numbers in combinations_with_replacement(flat, count):
            budget.spend()
            if sum([later[n][0].pitch for n in numbers]) > room or any(numbers.count(n) > later[n][1] for n in numbers):
                continue
            extra, settled = groups_of([(later[n][0], 1) for n in numbers], len(need))
            chosen = cover_banks([*groups, *extra], less(need, settled), budget)
            if chosen is not None:
                return chosen, [later[n][0].kind for n in numbers]
        count += 1
    return None
