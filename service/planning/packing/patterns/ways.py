"""All ways to place the bundles of one label, tray by tray, whatever unlabelled bundles lie beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from service.planning.packing.case import Case, Lot
from service.planning.packing.covers import fitting
from service.planning.packing.settings import Vector

MOST_STATES = 600
"""Labels with more ways to be in part placed than this are not listed."""

MOST_MOVES = 6_000
"""The same for the steps between them."""

Filling = tuple[int, ...]
"""How many bundles of each lot of the label lie in one tray."""


Cut = tuple[int, int, int]
"""(lot, the lots of its two parts)."""

Start = tuple[int, tuple[Cut, ...]]
"""(state of the whole label once these cuts are made, the cuts)."""


@dataclass(frozen=True, slots=True)
class Ways:
    """``fillings[f]`` and ``fits[f]``, the types that take it; ``moves[s]`` are (filling, state after it).

    State 0 is the empty one; states come after all that they lead to. ``starts`` are the states to begin with.
    """

    fillings: tuple[Filling, ...]
    fits: tuple[tuple[int, ...], ...]
    moves: tuple[tuple[tuple[int, int], ...], ...]
    starts: tuple[Start, ...]


def ways_of(
    case: Case,
    lots: Sequence[Lot],
    numbers: Sequence[int],
    types: Sequence[int],
    pairs: Sequence[tuple[int, Vector]],
    cuts: Sequence[Cut] = (),
    most_cuts: int = 0,
) -> Ways | None:
    """The ways of a label with these lots into these types ((berth, slots given) of each); None where too many.

    Up to ``most_cuts`` of the label's bundles are cut first. Then a tray takes some of the first lot that is left, and
    any of the others: what could still join need not, for unlabelled bundles may take its room.
    """
    wholes = cut_up(tuple([lots[n].count for n in numbers]), numbers, cuts, most_cuts)
    if wholes is None:
        return None
    states: set[Filling] = set()
    for whole in wholes:
        size = 1
        for count in whole:
            size *= count + 1
        if size > MOST_STATES:
            return None
        states.update(product(*[range(count + 1) for count in whole]))
        if len(states) > MOST_STATES:
            return None

    def splices(state: Filling) -> int:
        return sum([lots[n].size * count for n, count in zip(numbers, state, strict=True)])

    order = sorted(states, key=lambda state: (splices(state), state))
    number = {state: s for s, state in enumerate(order)}
    own = [lots[n] for n in numbers]
    place: dict[Filling, int] = {}
    fits: list[tuple[int, ...]] = []
    for filling in order[1:]:
        found = [t for t, pair in zip(types, pairs, strict=True) if fitting(case, own, filling, *pair)]
        if found:
            place[filling] = len(fits)
            fits.append(tuple(found))
    moves: list[tuple[tuple[int, int], ...]] = []
    steps = 0
    for state in order:
        first = next((n for n, count in enumerate(state) if count), 0)
        row: list[tuple[int, int]] = []
        for filling in product(*[range(count + 1) for count in state]):
            if filling[first] and filling in place:
                row.append((place[filling], number[tuple([n - m for n, m in zip(state, filling, strict=True)])]))
        steps += len(row)
        if steps > MOST_MOVES:
            return None
        moves.append(tuple(row))
    starts = tuple([(number[whole], made) for whole, made in wholes.items()])
    return Ways(tuple(place), tuple(fits), tuple(moves), starts)


def cut_up(
    whole: Filling, numbers: Sequence[int], cuts: Sequence[Cut], most_cuts: int
) -> dict[Filling, tuple[Cut, ...]] | None:
    """The label as it is and after up to so many cuts, with the fewest cuts that lead there; None where too many."""
    place = {n: at for at, n in enumerate(numbers)}
    own = [cut for cut in cuts if cut[0] in place]
    found: dict[Filling, tuple[Cut, ...]] = {whole: ()}
    latest = [whole]
    for _ in range(most_cuts if own else 0):
        grown: list[Filling] = []
        for state in latest:
            for cut in own:
                if state[place[cut[0]]]:
                    after = list(state)
                    after[place[cut[0]]] -= 1
                    after[place[cut[1]]] += 1
                    after[place[cut[2]]] += 1
                    made = tuple(after)
                    if made not in found:
                        found[made] = (*found[state], cut)
                        grown.append(made)
        latest = grown
        if len(found) > MOST_STATES:
            return None
    return found
