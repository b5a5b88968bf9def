"""Ribbons: outline by fibres and pitch."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.standards.ribbons import cross_section_mm2, cross_section_um2, extreme_fibres_um, height_um, width_um


def test_a_thinner_pitch_scales_both_width_and_height() -> None:
    """At 200 µm four fifths of 3220 and 360 µm (common practice, no source)."""
    assert (width_um(12, 200), height_um(200)) == (2576, 288)
    assert cross_section_um2(12, 200) == 2576 * 288


def test_a_scaled_length_is_rounded_up() -> None:
    """1124 µm for four fibres scale to 899.2 µm: 900, so that no ribbon is told too narrow."""
    assert width_um(4, 250) == 1124
    assert width_um(4, 200) == 900


def test_areas_are_told_in_mm2_as_well() -> None:
    """3220 µm x 360 µm are 1.1592 mm²."""
    assert cross_section_mm2(12) == 1.1592


@given(fibres=st.integers(1, 100), pitch=st.integers(150, 300))
def test_more_fibres_or_a_wider_pitch_never_make_a_smaller_ribbon(fibres: int, pitch: int) -> None:
    """Width and cross-section grow with both."""
    assert width_um(fibres + 1, pitch) > width_um(fibres, pitch)
    assert cross_section_um2(fibres, pitch + 1) >= cross_section_um2(fibres, pitch)


def test_a_ribbon_without_fibres_or_pitch_is_refused() -> None:
    """Both are counted from 1."""
    with pytest.raises(ValueError, match="fibre"):
        extreme_fibres_um(0)
    with pytest.raises(ValueError, match="pitch"):
        width_um(12, 0)
