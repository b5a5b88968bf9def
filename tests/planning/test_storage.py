"""Storage: the room that stored turns take of a tray's channel."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.planning.storage import StoredEnd, end_area_mm2, end_area_um2, splice_storage_mm2, storage_um2

_ENDS = st.builds(
    StoredEnd, st.sampled_from(("flat", "rollable", "fibre")), st.integers(1, 24), st.sampled_from((200, 250))
)


def test_a_flat_ribbon_keeps_its_width_and_height() -> None:
    """Twelve fibres at 250 µm: 3220 µm x 360 µm."""
    assert end_area_um2("flat", 12, 250) == 3220 * 360
    assert end_area_mm2("flat", 12, 250) == 1.1592


def test_a_rollable_ribbon_packs_as_rounds_of_its_fibres() -> None:
    """Twelve rounds of 0.25 mm are 0.589 mm², and bare fibres take the same."""
    assert end_area_mm2("rollable", 12, 250) == pytest.approx(12 * math.pi / 4 * 0.25**2, abs=1e-6)
    assert end_area_um2("fibre", 12, 250) == end_area_um2("rollable", 12, 250)


def test_thinner_fibre_takes_less_room() -> None:
    """0.2 mm for 0.25 mm leaves 64 % of the cross-section (trade magazine, secondary: 36 % less)."""
    assert end_area_mm2("fibre", 100, 200) / end_area_mm2("fibre", 100, 250) == pytest.approx(0.64, abs=1e-6)


def test_both_sides_lie_in_the_channel_for_every_turn() -> None:
    """Two flat ends, two turns each, half the channel usable: 4 x 1.1592 / 0.5 mm²."""
    flat = StoredEnd("flat", 12, 250)
    assert splice_storage_mm2(flat, flat, 2, 0.5) == pytest.approx(9.2736)
    assert storage_um2((flat,), 2, 0.5) * 2 == storage_um2((flat, flat), 2, 0.5)


def test_no_turns_take_no_room() -> None:
    """What is not stored takes nothing."""
    assert storage_um2((StoredEnd("flat", 12, 250),), 0, 0.5) == 0


@pytest.mark.parametrize("fill", [0.0, -0.1, 1.1])
def test_a_fill_outside_its_range_is_refused(fill: float) -> None:
    """Nothing fits in no share of a channel, and no more than all of it can be filled."""
    with pytest.raises(ValueError, match="fill"):
        storage_um2((StoredEnd("flat", 12, 250),), 1, fill)


@given(
    ends=st.lists(_ENDS, min_size=1, max_size=4), turns=st.integers(0, 9), fill=st.sampled_from((0.3, 0.5, 0.75, 1.0))
)
def test_storage_is_never_understated(ends: list[StoredEnd], turns: int, fill: float) -> None:
    """The whole number of µm² covers the exact sum, by less than one µm² an end, turn and fill, and grows by turns."""
    exact = sum(
        (end.fibres * math.pi / 4 * end.pitch_um**2) if end.form != "flat" else end_area_um2(*end) for end in ends
    )
    found = storage_um2(ends, turns, fill)
    assert exact * turns / fill - 1e-6 <= found <= (exact + len(ends)) * turns / fill + 1
    assert storage_um2(ends, turns + 1, fill) > found
