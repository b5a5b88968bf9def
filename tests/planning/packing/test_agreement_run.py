"""The run that holds answers against independent ones finds nothing on sound answers and everything on false ones."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.planning.packing import Packing, Problem, solve
from tests.bench.agreement.__main__ import KINDS, TURN, kind_of
from tests.bench.agreement.comparing import compared, reference
from tests.bench.agreement.outcome import AGREED, Outcome, Tally, table
from tests.bench.agreement.through_json import could_be_asked_for, verified
from tests.planning.packing.cases import tiny

SEEDS = range(820_000, 820_120)


def packed() -> list[tuple[Problem, Packing]]:
    """Small problems with an optimal packing that buys trays."""
    found = []
    for seed in SEEDS:
        problem = tiny(seed)
        packing = solve(problem)
        if packing.bounds and packing.bounds.optimal and packing.bounds.cost and could_be_asked_for(problem):
            found.append((problem, packing))
    assert len(found) > 20
    return found


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "families"])
def test_sound_answers_agree(kind: str) -> None:
    """The first cases of each kind that is quick: nothing wrong, and some agreed."""
    cases = [case for case in range(100) if kind_of(case) == kind]
    outcomes = [KINDS[kind][0](case, 2.0) for case in cases[:8]]
    assert [outcome.wrong for outcome in outcomes] == [()] * len(outcomes)
    assert any(outcome.verdict == AGREED for outcome in outcomes)
    assert set(TURN) == set(KINDS)


def test_a_bound_above_the_truth_is_a_disagreement() -> None:
    """An answer that costs one more than the least and calls that proven is told, by the reference alone."""
    for problem, packing in packed():
        best, proven = reference(problem, 2.0)
        assert compared(problem, packing, best, proven) == (AGREED, [])
        assert packing.bounds is not None
        more = packing.bounds.cost + 1
        lie = replace(packing, bounds=replace(packing.bounds, cost=more, cost_bound=more))
        _, wrong = compared(problem, lie, best, proven)
        assert any("called" in text for text in wrong)


def test_a_false_no_is_a_disagreement() -> None:
    """An answer that nothing fits where something does is told."""
    for problem, _ in packed():
        _, wrong = compared(problem, Packing(fits=False), *reference(problem, 2.0))
        assert wrong


def test_a_piece_left_out_is_a_breach() -> None:
    """The verifier, from the JSON alone, misses a bundle's splices where a tray is emptied."""
    judged = 0
    for problem, packing in packed():
        place = next((n for n, tray in enumerate(packing.trays) if tray.pieces), None)
        if place is None or all(item.loose for item in problem.items):
            continue
        assert verified(problem, packing)[0] == []
        emptied = replace(packing.trays[place], pieces=())
        trays = (*packing.trays[:place], emptied, *packing.trays[place + 1 :])
        if any(not problem.items[piece.item].loose for piece in packing.trays[place].pieces):
            judged += 1
            assert verified(problem, replace(packing, trays=trays))[0]
    assert judged > 10


def test_the_table_counts_what_disagreed() -> None:
    """A case with something wrong counts as a disagreement and as nothing else."""
    tally = Tally()
    tally.add(Outcome("one", 1, AGREED, ("wrong",)))
    tally.add(Outcome("one", 2, AGREED, (), True))
    assert (tally.cases, tally.wrong, tally.verdicts[AGREED]) == (2, 1, 1)
    assert table({"one": tally}).splitlines()[-1].split()[:4] == ["all", "2", "1", "0"]
