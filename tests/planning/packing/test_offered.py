"""Of many trays only some are looked at, and the packing is the one that looking at all of them gives."""

from __future__ import annotations

from typing import Any

import pytest

from service.planning.packing import Problem, laying
from service.planning.packing.drafts import trays_for
from service.planning.packing.laying import fitted, orders_of
from service.planning.packing.reading import read
from tests.bench.families import problem_of
from tests.planning.packing.cases import tiny


def laid(problem: Problem, trays: int, monkeypatch: pytest.MonkeyPatch, many: int) -> list[Any]:
    """What the cheap rules lay into so many trays of each kind, in every order, first and best fit."""
    monkeypatch.setattr(laying, "MANY", many)
    case = read(problem)
    if case.impossible:
        return []
    bought = case.berths[case.bought_from :]
    mix = tuple([min(trays, berth.most) for berth in bought])
    hanging = [n for berth in case.berths for n in berth.hanging]
    found = []
    for order in orders_of(case):
        for best in (False, True):
            stuck: list[int] = []
            open_trays = trays_for(case, mix)
            draft = fitted(case, 0, mix, open_trays, order, hanging, best, stuck)
            found.append((draft is None, stuck, [tray.pieces for tray in open_trays]))
    return found


@pytest.mark.parametrize("trays", [2, 7, 20])
def test_what_is_not_looked_at_would_not_have_been_chosen(trays: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Tiny cases of every rule, hubs with labels, additions and storage: piece by piece in the same trays."""
    families = ("hub_free_1k_8l", "hub_never_2k_24l", "extreme", "additions", "storage", "reserve", "keep_apart")
    problems = [tiny(seed) for seed in range(50_000, 50_150)]
    problems += [problem_of(family, seed) for family in families for seed in range(6)]
    packed = 0
    for problem in problems:
        all_looked_at = laid(problem, trays, monkeypatch, 10_000)
        assert laid(problem, trays, monkeypatch, 0) == all_looked_at
        packed += sum(not stuck for stuck, _, _ in all_looked_at)
    assert packed > 100
