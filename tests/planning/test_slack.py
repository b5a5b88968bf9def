"""Slack: whole turns, what remakes they afford, and the sheath opening."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.request import Rules
from service.planning import slack

_LENGTHS = st.integers(1, 30_000).map(lambda tenths: tenths / 10)


def test_a_side_needs_its_reach_and_a_cutback_for_each_remake() -> None:
    """900 mm of reach and two remakes of 40 mm each are 980 mm."""
    assert slack.needed_mm(Rules(reach_mm=900, remakes=2), 40) == 980


def test_only_whole_turns_bring_the_sleeve_to_its_slot() -> None:
    """980 mm less 200 mm of entry are 1.95 turns of 400 mm: two."""
    assert slack.turns(980, 200, 400) == 2
    assert slack.stored_mm(200, 2, 400) == 1000


def test_a_length_that_comes_out_even_takes_no_further_turn() -> None:
    """Exactly three turns are three, just over three are four."""
    assert slack.turns(1200, 0, 400) == 3
    assert slack.turns(1200.1, 0, 400) == 4


def test_floating_noise_takes_no_further_turn() -> None:
    """Three turns and a ten-thousandth of a millionth are three, and so are three tenths in binary."""
    assert slack.turns(3.0000000001, 0, 1) == 3
    assert slack.turns(0.1 + 0.2, 0, 0.1) == 3


def test_an_entry_longer_than_the_need_takes_no_turn() -> None:
    """Turns are never negative."""
    assert slack.turns(500, 800, 400) == 0
    assert slack.stored_mm(800, 0, 400) == 800


def test_the_surplus_of_the_last_turn_affords_more_remakes() -> None:
    """Stored 1,200 mm, reach 800 mm, 40 mm an attempt: ten remakes (CALC, whole cutbacks in 400 mm)."""
    assert slack.remakes_left(1200, 800, 40) == 10
    assert slack.remakes_left(1199.9, 800, 40) == 9


def test_too_short_a_store_affords_no_remake() -> None:
    """Remakes left are never negative."""
    assert slack.remakes_left(700, 800, 40) == 0


def test_the_sheath_opening_is_rounded_up_to_the_closures_step() -> None:
    """800 mm of lead and 1,340 mm stored are 2,140 mm, 2,200 mm in steps of 100 mm, and even lengths stay."""
    assert slack.opening_mm(800, 1340) == 2140
    assert slack.opening_mm(800, 1340, 100) == 2200
    assert slack.opening_mm(800, 1400, 100) == 2200
    assert slack.opening_mm(0.1, 0.2, 0.1) == 0.3


def test_an_express_window_is_twice_the_opening() -> None:
    """Both sides of the cut lie in the closure."""
    assert slack.window_mm(2200) == 4400


@pytest.mark.parametrize(
    "nonsense", [lambda: slack.turns(1, 0, 0), lambda: slack.remakes_left(1, 0, 0), lambda: slack.opening_mm(1, 1, 0)]
)
def test_a_turn_a_cutback_or_a_step_of_nothing_is_refused(nonsense: object) -> None:
    """Each divides a length and must be above 0."""
    with pytest.raises(ValueError, match="above 0"):
        nonsense()  # type: ignore[operator]


@given(reach=_LENGTHS, remakes=st.integers(0, 20), cutback=_LENGTHS, entry=_LENGTHS, turn=_LENGTHS)
def test_the_stored_length_affords_every_planned_remake(
    reach: float, remakes: int, cutback: float, entry: float, turn: float
) -> None:
    """Whatever the lengths: what is stored covers the need, with less than one turn to spare beyond it."""
    needed = slack.needed_mm(Rules(reach_mm=reach, remakes=remakes), cutback)
    turns = slack.turns(needed, entry, turn)
    stored = slack.stored_mm(entry, turns, turn)
    assert stored >= needed - 1e-6
    assert turns == 0 or stored - turn < needed + 1e-6
    assert slack.remakes_left(stored, reach, cutback) >= remakes
