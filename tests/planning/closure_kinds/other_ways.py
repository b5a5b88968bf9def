"""Other ways to the same answer: every subset of models, and two general solvers on the form with ``x <= y``."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from ortools.sat.python import cp_model
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

from service.planning.closure_kinds import PointClass

Outcome = tuple[int, int]
"""Points unserved, and the total of those served in cents."""


def cents_of(build: Sequence[PointClass]) -> list[tuple[int, dict[str, int]]]:
    """Points and prices in cents of each class."""
    return [
        (each.points, {offer.closure: int(offer.price * 100) for offer in each.offers if offer.price is not None})
        for each in build
    ]


def outcome_of(build: Sequence[PointClass], chosen: Sequence[str]) -> Outcome:
    """What a choice of models comes to."""
    unserved = total = 0
    for points, prices in cents_of(build):
        fitting = [prices[model] for model in chosen if model in prices]
        unserved += 0 if fitting else points
        total += points * min(fitting, default=0)
    return unserved, total


def by_every_subset(build: Sequence[PointClass], models: Sequence[str], most: int) -> Outcome:
    """The best of all choices of at most ``most`` models."""
    return min(
        outcome_of(build, chosen)
        for number in range(min(most, len(models)) + 1)
        for chosen in combinations(models, number)
    )


def by_mixed_integers(build: Sequence[PointClass], models: Sequence[str], most: int, unserved: int) -> int:
    """The least total in cents with ``unserved`` points left out, by a mixed-integer solver."""
    rows = cents_of(build)
    pairs = [(row, model) for row, (_, prices) in enumerate(rows) for model in prices]
    count, open_ = len(pairs), {model: len(pairs) + place for place, model in enumerate(models)}
    left_out = len(pairs) + len(models)
    cost = np.zeros(left_out + len(rows))
    matrix = lil_matrix((len(rows) + count + 2, left_out + len(rows)))
    low, high = np.full(matrix.shape[0], -np.inf), np.zeros(matrix.shape[0])
    for row, (points, _) in enumerate(rows):
        matrix[row, left_out + row] = 1
        low[row] = high[row] = 1
        matrix[len(rows) + count, left_out + row] = points
    for each, (row, model) in enumerate(pairs):
        points, prices = rows[row]
        cost[each] = points * prices[model]
        matrix[row, each] = 1
        matrix[len(rows) + each, each], matrix[len(rows) + each, open_[model]] = 1, -1
    for model in models:
        matrix[len(rows) + count + 1, open_[model]] = 1
    high[-2], high[-1] = unserved, most
    whole = np.zeros(len(cost))
    whole[count:] = 1
    found = milp(
        cost,
        integrality=whole,
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(matrix.tocsr(), low, high),
        options={"mip_rel_gap": 0.0, "time_limit": 60.0},
    )
    assert found.status == 0, found.message
    return round(found.fun)


def by_constraints(
    build: Sequence[PointClass], models: Sequence[str], most: int, seconds: float = 60.0
) -> tuple[int, bool]:
    """Points unserved and total as one number (``unserved * behind + total``), and whether it is proven."""
    rows = cents_of(build)
    behind = behind_all(build)
    model = cp_model.CpModel()
    opened = {each: model.new_bool_var(each) for each in models}
    model.add(sum(opened.values()) <= most)
    cost = []
    for points, prices in rows:
        taken = {each: model.new_bool_var("") for each in prices}
        out = model.new_bool_var("")
        model.add_exactly_one([*taken.values(), out])
        for each, variable in taken.items():
            model.add_implication(variable, opened[each])
            cost.append(points * prices[each] * variable)
        cost.append(points * behind * out)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    return round(solver.objective_value), status == cp_model.OPTIMAL


def behind_all(build: Sequence[PointClass]) -> int:
    """More than any choice can cost: what a point left unserved weighs."""
    return 1 + sum(points * max(prices.values(), default=0) for points, prices in cents_of(build))
