"""The packing problem as a mixed-integer program for HiGHS, splices to trays, as a yardstick beside the core.

The same model as the constraint solver's (``tests/planning/packing/general_solver.py``), every rule of it; written
anew, so that one may show a fault in the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from service.planning.packing.problem import HangingTray, Problem
from tests.bench.linear_program import Program, Solved, Terms, solved
from tests.planning.packing.brute import largest_part


@dataclass(frozen=True, slots=True)
class Berth:
    """A tray that hangs, that may be added now, or later; ``there`` is its variable, None for what hangs."""

    kind: int
    role: str
    there: int | None
    state: HangingTray | None = None


def judged_by_highs(problem: Problem, seconds: float = 5.0, threads: int = 1) -> Solved:
    """Cost, height, hanging trays opened and pieces made least in this order; proven where all four are."""
    program = Program()
    berths = _berths(problem, program)
    holds, counts = _items(problem, program, berths)
    _slots(problem, program, berths, counts)
    _limits(problem, program, berths, holds, counts)
    bought = [berth for berth in berths if berth.role == "new" and berth.there is not None]
    cost: Terms = []
    for berth in bought:
        price = 1 if problem.minimise == "trays" else problem.kinds[berth.kind].price or 0
        cost.append((price, berth.there or 0))
    height: Terms = [(problem.kinds[berth.kind].pitch, berth.there or 0) for berth in bought]
    opened: Terms = []
    for place, berth in enumerate(berths):
        inside = [holds[key] for key in holds if key[1] == place]
        if berth.state is not None and inside:
            flag = program.variable()
            opened.append((1, flag))
            for held in inside:
                program.at_least([(1, flag), (-1, held)], 0)
    pieces: Terms = [(1, held) for (item, _), held in holds.items() if not problem.items[item].loose]
    # An empty sum is least at nothing; the first objective is solved all the same, to see whether anything fits.
    return solved(program, (cost, height, opened, pieces), seconds, threads)


def _berths(problem: Problem, program: Program) -> list[Berth]:
    berths = [Berth(tray.kind, "hanging", None, tray) for tray in problem.hanging]
    hung = [sum(1 for tray in problem.hanging if tray.kind == k) for k in range(len(problem.kinds))]
    room = problem.stack - sum(problem.kinds[tray.kind].pitch for tray in problem.hanging)
    roles = ["new"]
    if problem.spare_trays or (problem.reserve_in == "stack" and any(problem.reserve)):
        roles.append("later")
    for k, kind in enumerate(problem.kinds):
        most = kind.most - hung[k]
        most = min(most, room // kind.pitch) if kind.pitch else most
        both: Terms = []
        for role in roles:
            alike = [program.variable() for _ in range(max(0, most))]
            for one, following in pairwise(alike):
                program.at_least([(1, one), (-1, following)], 0)
            berths += [Berth(k, role, there) for there in alike]
            both += [(1, there) for there in alike]
        program.at_most(both, kind.most - hung[k])
    added = [berth for berth in berths if berth.there is not None]
    program.at_most([(problem.kinds[b.kind].pitch, b.there or 0) for b in added], room)
    if problem.spare_trays:
        program.at_least([(1, b.there or 0) for b in added if b.role == "later"], problem.spare_trays)
    return berths


def _items(
    problem: Problem, program: Program, berths: list[Berth]
) -> tuple[dict[tuple[int, int], int], dict[tuple[int, int], Terms]]:
    """For each item and tray whether it holds some of it, and how many of its splices."""
    holds: dict[tuple[int, int], int] = {}
    counts: dict[tuple[int, int], Terms] = {}
    for i, item in enumerate(problem.items):
        split = item.loose or problem.split == "free"
        split = split or (problem.split == "oversize" and item.size > largest_part(problem, i))
        all_of_it: Terms = []
        for place, berth in enumerate(berths):
            label = berth.state.label if berth.state else None
            clash = label is not None and item.label is not None and label != item.label
            if berth.role == "later" or item.storage[berth.kind] is None or clash:
                continue
            held = holds[i, place] = program.variable()
            if split:
                count = program.variable(item.size)
                program.at_most([(1, count), (-item.size, held)], 0)
                program.at_least([(1, count), (-1, held)], 0)
                counts[i, place] = [(1, count)]
            else:
                counts[i, place] = [(item.size, held)]
            if berth.there is not None:
                program.at_most([(1, held), (-1, berth.there)], 0)
            all_of_it += counts[i, place]
        program.equal(all_of_it, item.size)
    return holds, counts


def _slots(problem: Problem, program: Program, berths: list[Berth], counts: dict[tuple[int, int], Terms]) -> None:
    """Banks are set to one kind each and give what is used; what is left of all is the reserve."""
    free: list[Terms] = [[] for _ in range(problem.slot_kinds)]
    constant = [0] * problem.slot_kinds
    for place, berth in enumerate(berths):
        balance: list[Terms] = [[] for _ in range(problem.slot_kinds)]
        fixed = [0] * problem.slot_kinds
        for number, bank in enumerate(problem.kinds[berth.kind].banks):
            in_use, taken = (None, 0) if berth.state is None else berth.state.banks[number]
            if in_use is not None:
                fixed[in_use] += bank[in_use] - taken
                continue
            settings = [program.variable() for _ in range(problem.slot_kinds)]
            there: Terms = [] if berth.there is None else [(-1, berth.there)]
            program.at_most([*((1, each) for each in settings), *there], 1 if berth.there is None else 0)
            for s, setting in enumerate(settings):
                balance[s].append((bank[s], setting))
        for i, item in enumerate(problem.items):
            if item.slots and (i, place) in counts:
                balance[item.slot_kind] += [(-c * item.slots, v) for c, v in counts[i, place]]
        for s in range(problem.slot_kinds):
            program.at_least(balance[s], -fixed[s])
            if berth.role != "later" or problem.reserve_in == "stack":
                free[s] += balance[s]
                constant[s] += fixed[s]
    for s, slots in enumerate(problem.reserve):
        if slots:
            program.at_least(free[s], slots - constant[s])


def _limits(
    problem: Problem,
    program: Program,
    berths: list[Berth],
    holds: dict[tuple[int, int], int],
    counts: dict[tuple[int, int], Terms],
) -> None:
    """Channels, ribbon entries, and one label a tray."""
    for place, berth in enumerate(berths):
        kind, state = problem.kinds[berth.kind], berth.state
        inside = [i for i in range(len(problem.items)) if (i, place) in counts]
        if kind.storage is not None:
            left = max(0, kind.storage - (state.storage_used if state else 0))
            takes = [(c * (problem.items[i].storage[berth.kind] or 0), v) for i in inside for c, v in counts[i, place]]
            program.at_most(takes, left)
        if kind.ribbons is not None:
            left = max(0, kind.ribbons - (state.ribbons_used if state else 0))
            program.at_most([(c * problem.items[i].ribbons, v) for i in inside for c, v in counts[i, place]], left)
        labels = sorted({label for i in inside if (label := problem.items[i].label) is not None})
        if len(labels) > 1:
            chosen = {label: program.variable() for label in labels}
            program.at_most([(1, each) for each in chosen.values()], 1)
            for i in inside:
                if problem.items[i].label is not None:
                    program.at_most([(1, holds[i, place]), (-1, chosen[problem.items[i].label])], 0)
