"""What each keep-apart label needs: trays that serve no other label, whatever unlabelled bundles lie beside it.

A type is a berth with one of its settings. A filling of a label's lots fits some types; covering the label means
taking fillings until nothing is left. The cheapest cover, for any costs of the types, is found by dynamic programming
over what is left of the label.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.planning.packing.budget import Budget
from service.planning.packing.case import Case, Lot
from service.planning.packing.settings import Vector

MOST_STATES = 300
"""Labels with more ways to be in part placed than this are only counted as one tray."""

MOST_MOVES = 4_000
"""The same for the fillings that are gone through for one label."""

MOST_LOOKS = 400_000
"""How many times two fillings of a label may be compared, and fillings tried in a type, for all labels together.

Labels that come after that are only counted as one tray, so that the work is bounded whatever is sent.
"""

LOOKS_A_NODE = 200
"""How many of these count as a node."""

MOST_TYPES = 200
"""With more trays and settings to choose from than this, labels are not covered at all."""

Type = tuple[int, Vector]
"""(number among the berths to be bought, the slots of its setting)."""

Table = tuple[tuple[tuple[int, int], ...], ...]
"""For each state the fillings to go on with, as (class of the filling, state after it); state 0 is empty.

States come after all states that their fillings lead to, the full label is the last one.
"""


@dataclass(frozen=True, slots=True)
class Covers:
    """All labels of a case. ``classes[c]`` are the types that fillings of class ``c`` fit.

    ``tables`` are (table, how many labels have it).
    """

    types: tuple[Type, ...]
    classes: tuple[tuple[int, ...], ...]
    tables: tuple[tuple[Table, int], ...]

    def least(self, costs: Sequence[int]) -> int:
        """The least cost of covering all labels, each for itself; ``costs`` of the types are not negative."""
        by_class = [min([costs[t] for t in fits]) for fits in self.classes]
        total = 0
        for table, times in self.tables:
            values = [0]
            for moves in table[1:]:
                values.append(min([by_class[c] + values[after] for c, after in moves]))
            total += values[-1] * times
        return total

    def chosen(self, costs: Sequence[float]) -> tuple[float, list[int]]:
        """The same for any costs, and how many trays of each type one cheapest cover takes."""
        by_class = [min([(costs[t], t) for t in fits]) for fits in self.classes]
        counts = [0] * len(self.types)
        total = 0.0
        for table, times in self.tables:
            values: list[tuple[float, int, int]] = [(0.0, 0, 0)]
            for moves in table[1:]:
                values.append(min([(by_class[c][0] + values[after][0], c, after) for c, after in moves]))
            total += values[-1][0] * times
            state = len(table) - 1
            while state:
                _, c, after = values[state]
                counts[by_class[c][1]] += times
                state = after
        return total, counts


class Looks:
    """How many looks all labels together may still take; ``taken`` so far."""

    __slots__ = ("left", "taken")

    def __init__(self, most: int) -> None:
        self.left = most
        self.taken = 0

    def count(self, looks: int) -> None:
        """Count what was looked at."""
        self.left -= looks
        self.taken += looks


def covers_of(case: Case, lots: Sequence[Lot], budget: Budget, most_looks: int = MOST_LOOKS) -> Covers | None:
    """The covers of all labels; None without labels, with one that fits nowhere, too many types, or hanging trays.

    What it takes is charged to the budget.
    """
    by_label: dict[int, list[Lot]] = {}
    for lot in lots:
        label = case.likenesses[lot.alike].label
        if label is not None:
            by_label.setdefault(label, []).append(lot)
    if not by_label or case.has_hanging:
        return None
    types = tuple([(b, given) for b, berth in enumerate(case.berths) for given in berth.settings])
    if len(types) > MOST_TYPES:
        return None
    numbers: dict[tuple[int, ...], int] = {}
    tables: dict[Table, int] = {}
    looks = Looks(most_looks)
    for label in sorted(by_label):
        table = table_of(case, by_label[label], types, numbers, looks)
        if table is None:
            return None
        tables[table] = tables.get(table, 0) + 1
    budget.charge(looks.taken // LOOKS_A_NODE)
    return Covers(types, tuple(numbers), tuple(tables.items()))


def table_of(
    case: Case, lots: Sequence[Lot], types: Sequence[Type], numbers: dict[tuple[int, ...], int], looks: Looks
) -> Table | None:
    """The table of one label; of a label with too many ways, that of one bundle of it. None where one fits nowhere."""
    full = tuple([lot.count for lot in lots])
    found: dict[tuple[int, ...], list[tuple[int, tuple[int, ...]]]] = {(0,) * len(lots): []}
    waiting = [full]
    moves = 0
    while waiting:
        state = waiting.pop()
        if state in found:
            continue
        options: dict[tuple[int, ...], list[tuple[int, ...]]] = {}
        moves_before = moves
        for t, (b, given) in enumerate(types):
            for filling in fullest(case, lots, state, b, given):
                if all(filling not in rows for rows in options.values()):
                    fits = tuple([u for u in range(len(types)) if u == t or fitting(case, lots, filling, *types[u])])
                    options.setdefault(fits, []).append(filling)
                moves += 1
                if moves > MOST_MOVES:
                    break
        if not options:
            return None
        looks.count((moves - moves_before) * len(types) + sum(len(rows) ** 2 for rows in options.values()))
        found[state] = []
        for fits, rows in options.items():
            number = numbers.setdefault(fits, len(numbers))
            for row in rows:
                if any(other != row and all(a <= o for a, o in zip(row, other, strict=True)) for other in rows):
                    continue
                after = tuple([n - m for n, m in zip(state, row, strict=True)])
                found[state].append((number, after))
                waiting.append(after)
        if moves > MOST_MOVES or len(found) > MOST_STATES or (waiting and looks.left <= 0):
            first = next(n for n, count in enumerate(full) if count)
            fits = tuple([u for u, (b, _) in enumerate(types) if case.likenesses[lots[first].alike].most[b]])
            return ((), ((numbers.setdefault(fits, len(numbers)), 0),))
    order = sorted(found, key=lambda state: (sum(state), state))
    place = {state: number for number, state in enumerate(order)}
    return tuple([tuple(sorted({(c, place[after]) for c, after in found[state]})) for state in order])


def fitting(case: Case, lots: Sequence[Lot], filling: Sequence[int], berth: int, given: Vector) -> bool:
    """Whether one empty tray of a type takes a filling."""
    tray = case.berths[berth]
    free = list(given)
    storage, ribbons = tray.storage or 0, tray.ribbons or 0
    for lot, count in zip(lots, filling, strict=True):
        if count:
            alike = case.likenesses[lot.alike]
            stored = alike.storage[berth]
            if stored is None:
                return False
            splices = count * lot.size
            free[alike.column] -= splices * alike.slots
            if free[alike.column] < 0:
                return False
            storage -= splices * stored
            ribbons -= splices * alike.ribbons
    return (tray.storage is None or storage >= 0) and (tray.ribbons is None or ribbons >= 0)


def fullest(case: Case, lots: Sequence[Lot], state: Sequence[int], berth: int, given: Vector) -> list[tuple[int, ...]]:
    """Fillings of a type out of what is left of the label, with a bundle of the first lot that is left.

    All are listed that no further bundle could join; some others may be.
    """
    tray = case.berths[berth]
    first = next(n for n, count in enumerate(state) if count)
    found: list[tuple[int, ...]] = []
    filling = [0] * len(lots)
    free = list(given)

    def extended(n: int, storage: int, ribbons: int) -> None:
        if len(found) > MOST_MOVES:
            return
        if n == len(lots):
            found.append(tuple(filling))
            return
        lot = lots[n]
        alike = case.likenesses[lot.alike]
        stored = alike.storage[berth]
        most = state[n]
        if most:
            if stored is None:
                most = 0
            else:
                if alike.slots:
                    most = min(most, free[alike.column] // (alike.slots * lot.size))
                if tray.storage is not None and stored:
                    most = min(most, storage // (stored * lot.size))
                if tray.ribbons is not None and alike.ribbons:
                    most = min(most, ribbons // (alike.ribbons * lot.size))
        least = 1 if n == first else 0
        if n == len(lots) - 1 and most > least:
            least = most
        for count in range(most, least - 1, -1):
            filling[n] = count
            splices = count * lot.size
            free[alike.column] -= splices * alike.slots
            extended(n + 1, storage - splices * (stored or 0), ribbons - splices * alike.ribbons)
            free[alike.column] += splices * alike.slots
        filling[n] = 0

    extended(first, tray.storage or 0, tray.ribbons or 0)
    return found
