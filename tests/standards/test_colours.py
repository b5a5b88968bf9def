"""Colours: the twelve in their order, and tracers from the thirteenth on."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.standards.colours import ORDER, Colour, colour, position


def test_the_first_twelve_have_no_tracer() -> None:
    """Positions 1 to 12 are the plain colours in order."""
    assert tuple(colour(n).text for n in range(1, 13)) == ORDER


def test_a_tracer_is_told_in_words() -> None:
    """One tracer in the singular, more in the plural, yellow on black."""
    assert colour(24).text == "aqua, 1 black tracer"
    assert colour(32).text == "black, 2 yellow tracers"


@given(st.integers(1, 10_000))
def test_a_colour_leads_back_to_its_position(number: int) -> None:
    """No two positions look alike."""
    assert position(colour(number)) == number


@pytest.mark.parametrize("number", [0, -1])
def test_positions_are_counted_from_one(number: int) -> None:
    """There is no fibre 0."""
    with pytest.raises(ValueError, match="from 1"):
        colour(number)


def test_a_colour_outside_the_order_has_no_position() -> None:
    """Turquoise is not one of the twelve."""
    with pytest.raises(ValueError, match="turquoise"):
        position(Colour("turquoise"))
