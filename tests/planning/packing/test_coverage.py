"""Setting banks so that a need is covered."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.coverage import cover_banks


def covered_by_trying(banks: list[tuple[int, ...]], need: tuple[int, ...]) -> bool:
    """Whether some setting of the banks gives the need, trying every one."""
    for setting in product(range(len(need)), repeat=len(banks)):
        given = [sum(bank[s] for bank, s in zip(banks, setting, strict=True) if s == c) for c in range(len(need))]
        if all(g >= n for g, n in zip(given, need, strict=True)):
            return True
    return False


def test_banks_cover_a_need_exactly_where_some_setting_does() -> None:
    """The division of the last group and the trial of the others agree with trying every setting."""
    rng = Random(7)
    yes = no = 0
    for _ in range(1_500):
        columns = rng.randint(1, 3)
        groups = [
            (tuple(rng.randint(0, 6) for _ in range(columns)), rng.randint(0, 3)) for _ in range(rng.randint(0, 3))
        ]
        need = tuple(rng.randint(0, 12) for _ in range(columns))
        banks = [slots for slots, count in groups for _ in range(count)]
        chosen = cover_banks(groups, need, Budget(10_000))
        assert (chosen is not None) == covered_by_trying(banks, need)
        if chosen is None:
            no += 1
            continue
        yes += 1
        given = [sum(slots[c] * counts[c] for slots, counts in chosen.items()) for c in range(columns)]
        assert all(g >= n for g, n in zip(given, need, strict=True))
        for slots, counts in chosen.items():
            assert sum(counts) <= banks.count(slots)
    assert min(yes, no) > 100


def test_a_spent_budget_is_said_and_not_taken_for_no() -> None:
    """Without nodes the question stays open: an error, never None."""
    with pytest.raises(OutOfNodesError):
        cover_banks([((3, 2), 4), ((5, 1), 2)], (9, 3), Budget(0))
