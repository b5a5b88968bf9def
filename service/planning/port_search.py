"""The exact search behind the port assignment: how many cables of each kind go to each port model.

A dynamic programme over the port models in order. What it carries on is how many entries of each group are still to
be placed; a group must be placed whole by the last port that takes it, so few groups are open at a time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.planning.port_matching import Group, Kind, Matching, match

Left = tuple[int, ...]
Taken = tuple[tuple[int, int], ...]
Value = tuple[int, int, int]
"""Pairs kept together (negative), sum of range widths, ports opened: the less the better, in this order."""

_MOST_STEPS = 5_000
_MOST_TRIES = 200


class _Steps:
    """Counts the search's steps; a search beyond the limit is given up for the greedy one."""

    def __init__(self) -> None:
        self.taken = 0

    def step(self) -> None:
        self.taken += 1
        if self.taken > _MOST_STEPS:
            raise _TooLongError


class _TooLongError(Exception):
    pass


def allocate(kinds: Sequence[Kind], groups: Sequence[Group]) -> list[list[tuple[int, int]]]:
    """For each group and port model: (express cables with both entries in one port, single entries).

    The groups are known to fit. Best in the order of :data:`Value`; of equals, the fullest early ports. Beyond a step
    limit, which closures of a few port models do not reach, express cables are kept together greedily; the range
    widths are then still the least for those, and the ports opened are not looked at.
    """
    entries = tuple(group.entries for group in groups)
    try:
        taken = _best(kinds, groups, entries)
    except _TooLongError:
        taken = _by_greed(kinds, groups, entries)
    return [[by_kind[g] for by_kind in taken] for g in range(len(groups))]


def _best(kinds: Sequence[Kind], groups: Sequence[Group], entries: Left) -> list[Taken]:
    steps = _Steps()
    memo: dict[tuple[int, Left], tuple[Value, Taken] | None] = {}

    def solve(t: int, left: Left) -> tuple[Value, Taken] | None:
        key = (t, left)
        if key in memo:
            return memo[key]
        best: tuple[Value, Taken] | None = None
        for taken in _choices(t, kinds[t], groups, left, steps):
            pairs, singles = sum(p for p, _ in taken), sum(s for _, s in taken)
            opened = kinds[t].opened(pairs, singles)
            if opened is None:
                continue
            value = (-pairs, kinds[t].width * (2 * pairs + singles), opened)
            if t + 1 < len(kinds):
                rest = solve(t + 1, tuple(n - 2 * p - s for n, (p, s) in zip(left, taken, strict=True)))
                if rest is None:
                    continue
                value = (value[0] + rest[0][0], value[1] + rest[0][1], value[2] + rest[0][2])
            if best is None or value < best[0]:
                best = (value, taken)
        memo[key] = best
        return best

    chosen: list[Taken] = []
    left = entries
    for t in range(len(kinds)):
        found = solve(t, left)
        if found is None:
            raise ValueError("The cables do not fit the ports.")
        chosen.append(found[1])
        left = tuple(n - 2 * p - s for n, (p, s) in zip(left, found[1], strict=True))
    return chosen


def _choices(t: int, kind: Kind, groups: Sequence[Group], left: Left, steps: _Steps) -> Iterator[Taken]:
    """What port model ``t`` can take of each group, most first; a group's last port takes all that is left."""
    taken = [(0, 0)] * len(groups)
    taking = [g for g, group in enumerate(groups) if t in group.kinds and left[g]]

    def extend(place: int, room: int) -> Iterator[Taken]:
        steps.step()
        if place == len(taking):
            yield tuple(taken)
            return
        g = taking[place]
        group, open_ = groups[g], left[g]
        last = t == group.kinds[-1]
        most_pairs = min(open_, room) // 2 if group.express and kind.entries > 1 else 0
        for pairs in range(most_pairs, -1, -1):
            rest = open_ - 2 * pairs
            if last:
                amounts = range(rest, rest + 1) if 2 * pairs + rest <= room else range(0)
            else:
                amounts = range(min(rest, room - 2 * pairs), -1, -1)
            for singles in amounts:
                taken[g] = (pairs, singles)
                yield from extend(place + 1, room - 2 * pairs - singles)
        taken[g] = (0, 0)

    yield from extend(0, kind.places * kind.entries)


def _by_greed(kinds: Sequence[Kind], groups: Sequence[Group], entries: Left) -> list[Taken]:
    """Express cables kept together one by one as long as the rest still fits, then the tightest ranges for the rest."""
    matching, tight = match(kinds, groups, entries, [kind.places * kind.entries for kind in kinds])
    if tight:
        raise ValueError("The cables do not fit the ports.")
    pairs = [[0] * len(groups) for _ in kinds]
    left = list(entries)
    tries = 0
    tight_first = sorted(range(len(kinds)), key=lambda t: (kinds[t].width, t))
    for g in sorted((g for g, group in enumerate(groups) if group.express), key=lambda g: (len(groups[g].kinds), g)):
        for t in (t for t in tight_first if t in groups[g].kinds):
            while left[g] and sum(pairs[t]) < kinds[t].pairs and tries < _MOST_TRIES:
                tries += 1
                paired = _paired(matching, g, t)
                if paired is None:
                    break
                matching = paired
                pairs[t][g] += 1
                left[g] -= 2
    matching, _ = match(kinds, groups, left, matching.room)
    return [tuple((n, matching.lies[t].get(g, 0)) for g, n in enumerate(pairs[t])) for t in range(len(kinds))]


def _paired(matching: Matching, g: int, t: int) -> Matching | None:
    """The matching without two entries of a group, which are set apart in a port model; None where it does not go."""
    if matching.room[t] < 2:
        return None
    tried = matching.copy()
    for _ in range(2):
        tried.drop(g, t if g in tried.lies[t] else next(other for other, held in enumerate(tried.lies) if g in held))
    tried.room[t] -= 2
    moved = []
    while tried.load[t] > tried.room[t]:
        moved.append(min(tried.lies[t]))
        tried.drop(moved[-1], t)
    return tried if all(tried.place(other) is None for other in moved) else None
