"""The packing problem as a constraint model for a general solver (OR-Tools CP-SAT), to compare with."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from service.planning.packing.problem import Problem
from tests.planning.packing.brute import largest_part


@dataclass(frozen=True)
class Verdict:
    """``values`` (cost, height, opened, pieces), None where nothing fits; ``proven`` whether the solver says so."""

    values: tuple[int, int, int, int] | None
    proven: bool


def judged_by_general_solver(problem: Problem, seconds: float = 5.0, workers: int = 1) -> Verdict:
    """Solve the whole model at once, the four objectives weighed so that each outweighs all after it."""
    model = cp_model.CpModel()
    hung = [sum(1 for tray in problem.hanging if tray.kind == k) for k in range(len(problem.kinds))]
    room = problem.stack - sum(problem.kinds[tray.kind].pitch for tray in problem.hanging)
    trays: list[tuple[int, int | None, str]] = [(tray.kind, n, "hanging") for n, tray in enumerate(problem.hanging)]
    total = sum(item.size for item in problem.items)
    for k, kind in enumerate(problem.kinds):
        most = kind.most - hung[k]
        most = min(most, room // kind.pitch) if kind.pitch else most
        trays += [(k, None, "new")] * max(0, most)
    if problem.spare_trays or (problem.reserve_in == "stack" and any(problem.reserve)):
        for k, kind in enumerate(problem.kinds):
            most = kind.most - hung[k]
            most = min(most, room // kind.pitch) if kind.pitch else most
            trays += [(k, None, "later")] * max(0, most)
    there = [1 if role == "hanging" else model.new_bool_var("") for _, _, role in trays]
    for k, kind in enumerate(problem.kinds):
        for role in ("new", "later"):
            alike = [there[t] for t, (at, _, what) in enumerate(trays) if at == k and what == role]
            for one, following in pairwise(alike):
                model.add(one >= following)
        model.add(sum(there[t] for t, (at, _, _) in enumerate(trays) if at == k) <= kind.most)
    model.add(sum(problem.kinds[k].pitch * there[t] for t, (k, _, _) in enumerate(trays)) <= problem.stack)
    model.add(sum(there[t] for t, (_, _, role) in enumerate(trays) if role == "later") >= problem.spare_trays)
    count: dict[tuple[int, int], cp_model.IntVar] = {}
    holds: dict[tuple[int, int], cp_model.IntVar] = {}
    for i, item in enumerate(problem.items):
        split = item.loose or problem.split == "free"
        split = split or (problem.split == "oversize" and item.size > largest_part(problem, i))
        for t, (k, n, role) in enumerate(trays):
            label = None if n is None else problem.hanging[n].label
            clash = None not in (label, item.label) and label != item.label
            if role == "later" or item.storage[k] is None or clash:
                continue
            holds[i, t] = model.new_bool_var("")
            count[i, t] = model.new_int_var(0, item.size, "")
            if split:
                model.add(count[i, t] <= item.size * holds[i, t])
                model.add(count[i, t] >= holds[i, t])
            else:
                model.add(count[i, t] == item.size * holds[i, t])
            if role == "new":
                model.add(holds[i, t] <= there[t])
        model.add(sum(c for (at, _), c in count.items() if at == i) == item.size)
    free: list[list[object]] = [[] for _ in range(problem.slot_kinds)]
    for t, (k, n, role) in enumerate(trays):
        kind = problem.kinds[k]
        state = None if n is None else problem.hanging[n]
        given: list[list[object]] = [[] for _ in range(problem.slot_kinds)]
        for b, bank in enumerate(kind.banks):
            in_use, taken = (None, 0) if state is None else state.banks[b]
            if in_use is not None:
                given[in_use].append(bank[in_use] - taken)
                continue
            settings = [model.new_bool_var("") for _ in range(problem.slot_kinds)]
            model.add(sum(settings) <= there[t])
            for s, setting in enumerate(settings):
                given[s].append(bank[s] * setting)
        inside = [i for i in range(len(problem.items)) if (i, t) in count]
        for s in range(problem.slot_kinds):
            used = sum(problem.items[i].slots * count[i, t] for i in inside if problem.items[i].slot_kind == s)
            model.add(sum(given[s]) - used >= 0)
            if role != "later" or problem.reserve_in == "stack":
                free[s].append(sum(given[s]) - used)
        if kind.storage is not None and inside:
            left = max(0, kind.storage - (state.storage_used if state else 0))
            model.add(sum((problem.items[i].storage[k] or 0) * count[i, t] for i in inside) <= left)
        if kind.ribbons is not None and inside:
            left = max(0, kind.ribbons - (state.ribbons_used if state else 0))
            model.add(sum(problem.items[i].ribbons * count[i, t] for i in inside) <= left)
        labels = {problem.items[i].label for i in inside} - {None}
        if len(labels) > 1:
            chosen = {label: model.new_bool_var("") for label in sorted(labels)}
            model.add_at_most_one(chosen.values())
            for i in inside:
                if problem.items[i].label is not None:
                    model.add(holds[i, t] <= chosen[problem.items[i].label])
    for s, slots in enumerate(problem.reserve):
        if slots:
            model.add(sum(free[s]) >= slots)
    bought = [(t, problem.kinds[k]) for t, (k, _, role) in enumerate(trays) if role == "new"]
    cost = sum((1 if problem.minimise == "trays" else kind.price or 0) * there[t] for t, kind in bought)
    height = sum(kind.pitch * there[t] for t, kind in bought)
    opened_flags = []
    for t, (_, _, role) in enumerate(trays):
        if role == "hanging":
            flag = model.new_bool_var("")
            for i in range(len(problem.items)):
                if (i, t) in holds:
                    model.add(flag >= holds[i, t])
            opened_flags.append(flag)
    opened = sum(opened_flags)
    pieces = sum(h for (i, _), h in holds.items() if not problem.items[i].loose)
    by_pieces = total * max(1, len(trays)) + 1
    by_opened = by_pieces * (len(problem.hanging) + 1)
    model.minimize((cost * (problem.stack + 1) + height) * by_opened + opened * by_pieces + pieces)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Verdict(None, proven=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Verdict(None, proven=False)
    cost_value, height_value, opened_value, pieces_value = (
        part if isinstance(part, int) else int(solver.value(part)) for part in (cost, height, opened, pieces)
    )
    return Verdict((cost_value, height_value, opened_value, pieces_value), proven=status == cp_model.OPTIMAL)
