"""Published colour codes."""

from __future__ import annotations

import pytest

from service.standards.colours import ORDER, colour


def test_the_order_is_that_of_the_published_table() -> None:
    """TIA-598-C as Wikipedia restates it (secondary, read)."""
    assert ORDER == (
        "blue", "orange", "green", "brown", "slate", "white", "red", "black", "yellow", "violet", "rose", "aqua",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("position", "text"),
    [
        (13, "blue, 1 black tracer"),  # the same table: repeated and striped with black
        (20, "black, 1 yellow tracer"),  # the same: black is striped with yellow
        (24, "aqua, 1 black tracer"),  # City of San Antonio programming document: 24 aqua with a black tracer
        (36, "aqua, 2 black tracers"),  # the same document: 36 aqua with a double black tracer
        (37, "blue, 3 black tracers"),  # each further dozen adds one (computed)
    ],
)
def test_tracers_are_those_published(position: int, text: str) -> None:
    """Positions from the thirteenth on."""
    assert colour(position).text == text


@pytest.mark.parametrize(
    ("fibre", "unit_colour", "fibre_colour"),
    [
        (23, "orange", "rose"),  # training text, secondary
        (73, "red", "blue"),  # the same
        (86, "black", "orange"),  # the same
        (100, "yellow", "brown"),  # computed
        (144, "aqua", "aqua"),  # computed
        (145, "blue, 1 black tracer", "blue"),  # computed
        (288, "aqua, 1 black tracer", "aqua"),  # computed
        (433, "blue, 3 black tracers", "blue"),  # computed
    ],
)
def test_a_fibre_is_found_by_the_colours_of_its_unit_and_its_own(
    fibre: int, unit_colour: str, fibre_colour: str
) -> None:
    """Twelve fibres a unit: unit = (f - 1) // 12 + 1, place in it = (f - 1) % 12 + 1."""
    assert colour((fibre - 1) // 12 + 1).text == unit_colour
    assert colour((fibre - 1) % 12 + 1).text == fibre_colour
