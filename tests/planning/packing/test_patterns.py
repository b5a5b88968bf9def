"""The last resort by linear programming: forced on where cheaper ways would do, and held against trying everything."""

from __future__ import annotations

import subprocess
import sys
from collections import Counter
from dataclasses import replace
from random import Random

import pytest

from service.planning.packing import Packing, Problem, core, solve, survey
from service.planning.packing.patterns import asking, fewest, master
from tests.bench.hubs import HUBS, hub
from tests.planning.packing.brute import best_packing
from tests.planning.packing.cases import realistic, tiny, ways
from tests.planning.packing.check import faults

CASES = 600
BATCH = 100


@pytest.fixture
def forced(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """Cheap rules and short searches switched off, so that the last resort is asked; counts how often it decided."""
    decided: Counter[str] = Counter()
    asked, counted = core.settled_by_fillings, core.fewest_by_fillings

    def settle(*arguments):
        settled = asked(*arguments)
        decided["asked"] += 1
        decided["settled"] += settled is not None and settled.decided
        return settled

    def fewest_pieces(*arguments):
        found = counted(*arguments)
        decided["pieces"] += found is not None and found[0].pieces == found[1]
        return found

    monkeypatch.setattr(survey, "tried", lambda *_args, **_named: None)
    monkeypatch.setattr(survey, "persuaded", lambda *_args, **_named: None)
    monkeypatch.setattr(core.Solver, "glimpsed", lambda *_args: None)
    monkeypatch.setattr(core.Solver, "settled_cheaply", lambda _self, _least, start: (None, start))
    monkeypatch.setattr(core.Solver, "refined_cheaply", lambda _self, draft, _equals, floor: (draft, floor))
    monkeypatch.setattr(core.Solver, "uncut", lambda _self, _weight, floor: (None, floor))
    monkeypatch.setattr(core, "fewest_by_groups", lambda *_args: None)
    monkeypatch.setattr(core, "settled_by_fillings", settle)
    monkeypatch.setattr(core, "fewest_by_fillings", fewest_pieces)
    monkeypatch.setattr(asking, "FEWEST_NODES", 0)
    monkeypatch.setattr(fewest, "FEWEST_NODES", 0)
    return decided


def judged(seed: int, packing: Packing, problem: Problem | None = None) -> None:
    """Hold an answer against trying everything: what it proves is true, what it packs keeps every rule."""
    problem = problem or tiny(seed)
    best = best_packing(problem)
    if packing.fits is not True:
        assert packing.fits is None or best is None, f"seed {seed}"
        return
    assert faults(problem, packing) == [], f"seed {seed}"
    assert best is not None and packing.bounds is not None, f"seed {seed}"
    bounds = packing.bounds
    proven = (bounds.cost_bound, bounds.height_bound, bounds.opened_bound, bounds.pieces_bound)
    reached = (bounds.cost, bounds.height, bounds.opened, bounds.pieces)
    for least, value, true in zip(proven, reached, best, strict=True):
        assert least <= true, f"seed {seed}"
        if least < value:
            return
        assert value == true, f"seed {seed}"


@pytest.mark.parametrize("start", range(2_000_000, 2_000_000 + CASES, BATCH))
def test_the_last_resort_agrees_with_trying_everything(start: int, forced: Counter[str]) -> None:
    """Asked for every case, it reaches the values that trying every packing finds, and decides nearly all of them."""
    for seed in range(start, start + BATCH):
        judged(seed, solve(tiny(seed)))
    assert forced["settled"] >= forced["asked"] * 9 // 10 > 10


def test_the_fewest_pieces_agree_with_trying_everything(forced: Counter[str]) -> None:
    """Where all bundles may be cut, the pieces that it reaches and rules out are those of trying every packing."""
    for seed in range(2_400_000, 2_400_800):
        problem = replace(tiny(seed), split="free", hanging=())
        if 0 < ways(list(problem.items), "free") <= 20_000:
            judged(seed, solve(problem), problem)
    assert forced["pieces"] > 10


def test_hardly_any_nodes_never_prove_too_much(forced: Counter[str]) -> None:
    """Cut short anywhere, the last resort leaves bounds that are true."""
    for seed in range(2_100_000, 2_100_250):
        judged(seed, solve(tiny(seed), node_limit=40 + seed % 400))
    assert forced["asked"] > forced["settled"] > 10


def test_a_solver_that_errs_proves_nothing_false(forced: Counter[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever values, shares and prices the solver comes up with, the answers stay true: all is checked again."""
    honest = master.Master.solved
    rng = Random(7)

    def erring(self):
        answer = honest(self)
        if answer is None:
            return None
        value, shares, prices, floors = answer
        lie = rng.randrange(4)
        if lie == 0:
            value = rng.choice((0.0, 1.0))
        elif lie == 1:
            shares = [float(rng.randrange(3)) for _ in shares]
        elif lie == 2:
            prices.lots = [rng.randrange(2_000_000) for _ in prices.lots]
            prices.trays = [rng.randrange(9_000_000) for _ in prices.trays]
        else:
            prices.slots = [rng.randrange(2_000_000) for _ in prices.slots]
            prices.later = [rng.randrange(2_000_000) if self.model.case.in_stack else 0 for _ in prices.later]
            prices.cut = rng.randrange(2_000_000)
        return value, shares, prices, floors

    monkeypatch.setattr(master.Master, "solved", erring)
    for seed in range(2_200_000, 2_200_250):
        judged(seed, solve(tiny(seed), node_limit=4_000))
    assert forced["settled"] > 10


def test_without_the_solver_the_core_answers_alone(forced: Counter[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the solver is not installed the answers are as true, and none says that it had a part in them."""

    def missing() -> None:
        raise ImportError("no solver")

    monkeypatch.setattr(master, "quiet_solver", missing)
    for seed in range(2_300_000, 2_300_100):
        packing = solve(tiny(seed))
        judged(seed, packing)
        assert not any(each.solver for each in packing.evidence)
    assert forced["asked"] > 10 and not forced["settled"]


def test_the_solver_is_imported_on_first_use_only() -> None:
    """Planning an easy closure does not load the solver."""
    code = "import sys; import service.planning.packing; sys.exit('highspy' in sys.modules or 'numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


@pytest.mark.parametrize("family", ["hub_never_2k_24l", "hub_never_3k_0l", "extreme"])
def test_closures_that_search_alone_leaves_open_are_proven(family: str, capfd: pytest.CaptureFixture[str]) -> None:
    """Hubs that fill their trays, and two dozen labels, are proven; the answer says how, and nothing is printed."""
    said = 0
    for seed in range(4):
        problem = hub(seed + 26, *HUBS[family]) if family in HUBS else realistic(family, seed)
        packing = solve(problem)
        assert packing.bounds is not None and packing.bounds.optimal, f"seed {seed}"
        assert faults(problem, packing) == []
        said += "linear programming" in packing.method
        assert ("linear programming" in packing.method) == any(each.solver for each in packing.evidence)
    assert said
    assert capfd.readouterr().out == ""


def test_the_same_problem_gets_the_same_answer_again() -> None:
    """Nothing of an earlier problem stays in the solver: the same closure is packed alike the second time."""
    problem = realistic("extreme", 3)
    first = solve(problem)
    solve(realistic("extreme", 4))
    assert solve(problem) == first
