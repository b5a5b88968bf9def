"""Ends of splices, told so that they can be found in the cable."""

from __future__ import annotations

import pytest

from service.domain.catalogue import Cable
from service.domain.splices import RibbonEnd
from service.sheets.schedule.ends import end_facts

FLAT = Cable("flat-96", "Flat", 14, 96, 12, 4, "flat", 250, "G.652.D")
WIDE = Cable("wide", "Wide", 18, 96, 24, 2, "flat", 250, "G.652.D")


def test_a_ribbon_is_found_by_tube_and_colours() -> None:
    """Ribbon 5 of four a tube: tube 2, orange, fibres 49 to 60, blue to aqua."""
    facts = end_facts(RibbonEnd("A", 5), FLAT, 12)
    assert (facts.tube, facts.tube_colour) == (2, "orange")
    assert facts.fibres == tuple(range(49, 61))
    assert (facts.fibre_colours[0], facts.fibre_colours[-1]) == ("blue", "aqua")


@pytest.mark.parametrize(("half", "fibres", "first"), [(1, (25, 36), "blue"), (2, (37, 48), "blue, 1 black tracer")])
def test_each_twelve_of_a_divided_ribbon_has_its_own_fibres(half: int, fibres: tuple[int, int], first: str) -> None:
    """The second twelve starts at the thirteenth fibre, whose colour is blue with a tracer."""
    facts = end_facts(RibbonEnd("A", 2, half=half), WIDE, 12)
    assert (facts.fibres[0], facts.fibres[-1]) == fibres
    assert facts.fibre_colours[0] == first


def test_a_fibre_has_the_colour_of_its_place_in_the_ribbon() -> None:
    """Fibre 88 of ribbons of 12 is the fourth of ribbon 8: brown, in tube 2."""
    facts = end_facts(RibbonEnd("A", 8, 88), FLAT, 1)
    assert (facts.fibres, facts.fibre_colours, facts.tube) == ((88,), ("brown",), 2)


def test_a_cable_that_is_not_known_keeps_its_numbers() -> None:
    """Without its entry there are no colours and no tube, but nothing is guessed and nothing breaks."""
    facts = end_facts(RibbonEnd("A", 8, 88, end="out"), None, 1)
    assert (facts.tube, facts.tube_colour, facts.fibres, facts.fibre_colours) == (None, None, (88,), ())
    assert facts.leaves
