"""The proof of a choice: bounds hold whatever they were made from, and a search that ends early says so."""

from __future__ import annotations

import subprocess
import sys
from itertools import combinations
from random import Random

import numpy as np
import pytest

from service.planning.closure_kinds import choice as choice_module
from service.planning.closure_kinds import choose_closure_kinds, dividing
from service.planning.closure_kinds.aim import fewest_unserved, least_total
from service.planning.closure_kinds.bound import bound_of
from service.planning.closure_kinds.costs import Costs, costs_of, without_outdone
from service.planning.closure_kinds.levels import levels_of
from service.planning.closure_kinds.linear import dual_shares
from service.planning.closure_kinds.measuring import measured
from tests.planning.closure_kinds.builds import disordered, models, orderly
from tests.planning.closure_kinds.other_ways import by_every_subset, outcome_of


def _costs(seed: int, number: int = 8, fits: float = 0.5) -> Costs:
    build = disordered(20, number, seed, fits)
    return costs_of(build, measured(build, models(number)).amounts)


@pytest.mark.parametrize("seed", range(5))
def test_levels_tell_what_every_choice_comes_to(seed: int) -> None:
    """The sum over the sets that a choice misses is what its models give the build, for all subsets of eight models."""
    build = disordered(20, 8, seed, 0.5)
    costs = _costs(seed)
    levels = levels_of(costs)
    for number in range(9):
        for chosen in combinations(range(8), number):
            unserved, total = outcome_of(build, [costs.models[place] for place in chosen])
            assert levels.outcome(chosen) == (unserved - costs.unfit, total)


@pytest.mark.parametrize("seed", range(20))
def test_any_shares_make_a_bound_that_holds(seed: int) -> None:
    """Shares drawn at random, negative and endless ones among them, never bound the best choice from above."""
    random = Random(seed)
    costs = _costs(seed)
    levels = levels_of(costs)
    most = random.randint(1, 4)
    unserved, total = min(levels.outcome(chosen) for chosen in combinations(range(8), most))
    for aim, least in ((fewest_unserved(levels, most), unserved), (least_total(levels, most, unserved, 0), total)):
        top = int(aim.weights.max())
        for _ in range(40):
            drawn = [random.choice((random.uniform(-1, 2) * top, 0.0, float("inf"), float("nan"))) for _ in aim.weights]
            assert bound_of(aim, np.array(drawn)).least <= least


@pytest.mark.parametrize("seed", range(5))
def test_models_said_to_be_idle_are_in_no_better_choice(seed: int) -> None:
    """No choice cheaper than the cost given has a model that the bound rules out."""
    levels = levels_of(_costs(seed, fits=1.0))
    aim = least_total(levels, 3, 0, 0)
    costs = {chosen: levels.outcome(chosen)[1] for chosen in combinations(range(8), 3)}
    shares = dual_shares(aim, max(costs.values()))
    assert shares is not None
    bound = bound_of(aim, shares)
    for cost in sorted(costs.values())[:10]:
        idle = bound.idle(cost)
        assert all(not set(idle) & set(chosen) for chosen, other in costs.items() if other < cost)


def test_orderly_builds_are_proven_by_the_relaxation_alone() -> None:
    """Duals of the linear relaxation, taken as whole numbers, bound the optimum exactly: nothing is left to search."""
    build = orderly(120, 40, 6)
    costs = without_outdone(costs_of(build, measured(build, models(40)).amounts))
    levels = levels_of(costs)
    row = choose_closure_kinds(build, models(40), 4).chosen
    assert row is not None
    aim = least_total(levels, 4, 0, int(row.total * 100))
    shares = dual_shares(aim, int(row.total * 100))
    assert shares is not None
    assert bound_of(aim, shares).least == int(row.total * 100)


def _without_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(dividing, "_FEW", 0)
    monkeypatch.setattr(dividing, "small_enough", lambda aim: False)
    monkeypatch.setattr(dividing, "too_large", lambda aim: True)
    monkeypatch.setattr(dividing, "may_close", lambda aim, least, known: False)


@pytest.mark.parametrize("seed", range(4))
def test_dividing_agrees_with_every_subset(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With hardly any choices gone through at a time and no solver, the search divides deep and agrees."""
    monkeypatch.setattr(dividing, "_WALK", 3)
    _without_solver(monkeypatch)
    monkeypatch.setattr(dividing, "_ASCENT", (10, 5))
    build = disordered(30, 10, seed, fits=0.4)
    for row in choose_closure_kinds(build, models(10), rows=4).rows:
        assert row.optimal
        assert (row.unserved, int(row.total * 100)) == by_every_subset(build, sorted(models(10)), row.most)


@pytest.mark.parametrize("seed", range(8))
def test_a_search_that_ends_early_says_so(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With next to no steps and poor shares a row is optimal only where it is, and its bounds hold."""
    monkeypatch.setattr(choice_module, "_STEPS", (1, 1))
    _without_solver(monkeypatch)
    monkeypatch.setattr(dividing, "_ASCENT", (1, 1))
    build = disordered(30, 10, seed, fits=0.25)
    rows = choose_closure_kinds(build, models(10), rows=4).rows
    for row in rows:
        unserved, total = by_every_subset(build, sorted(models(10)), row.most)
        assert row.unserved_lower_bound <= unserved <= row.unserved
        if row.unserved == unserved:
            assert int(row.total_lower_bound * 100) <= total <= int(row.total * 100)
        if row.optimal:
            assert (row.unserved, int(row.total * 100)) == (unserved, total)
    assert not all(row.optimal for row in rows)


def test_the_solver_is_silent_and_comes_late() -> None:
    """Neither solver nor numpy is imported with the module, and a choice writes nothing to standard output."""
    program = (
        "import sys\n"
        "from service.planning.closure_kinds import choose_closure_kinds\n"
        "assert not {'numpy', 'highspy'} & set(sys.modules)\n"
        "from tests.planning.closure_kinds.builds import models, orderly\n"
        "assert choose_closure_kinds(orderly(60, 20, 1), models(20)).rows[2].optimal\n"
        "assert 'highspy' in sys.modules\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")

_AFTER_ANOTHER = """
import highspy
other = highspy._core._Highs()
other.setOptionValue("output_flag", False)
other.setOptionValue("threads", 2)
other.addVar(0.0, 1.0)
other.run()
from service.planning.closure_kinds.aim import least_total
from service.planning.closure_kinds.levels import levels_of
from service.planning.closure_kinds.linear import dual_shares
from tests.planning.closure_kinds.test_proof import _costs
aim = least_total(levels_of(_costs(1, fits=1.0)), 3, 0, 0)
print(dual_shares(aim, 10**9) is not None)
"""


def test_the_relaxation_is_solved_after_a_solver_with_other_threads_ran_in_the_process() -> None:
    """The library keeps one number of threads a process and refuses another; what was set elsewhere must not matter."""
    answered = subprocess.run([sys.executable, "-c", _AFTER_ANOTHER], capture_output=True, text=True, check=False)
    assert answered.stdout == "True\n", answered.stderr
