"""Express: the room for uncut tubes and ribbons."""

from __future__ import annotations

import math

import pytest

from service.planning.express import check_express
from tests.planning.entries import cable, closure

_CLOSURE = closure(express_mm2=500.0, express_turn_mm=1000.0)


def test_uncut_tubes_lie_in_the_turns_of_the_window() -> None:
    """A window of 4,400 mm is five turns of 1,000 mm; two tubes of 3 mm at half fill."""
    found = check_express(_CLOSURE, cable(tube_od_mm=3.0), 2, 0, 4400, 0.5)
    assert found.need_mm2 == pytest.approx(2 * math.pi / 4 * 9 * 5 / 0.5)
    assert found.notes == ()


def test_uncut_ribbons_of_an_opened_tube_lie_beside_them() -> None:
    """Five flat ribbons of 1.1592 mm² for three turns at half fill; no tube diameter is asked for."""
    found = check_express(_CLOSURE, cable(), 0, 5, 3000, 0.5)
    assert found == (pytest.approx(5 * 1.1592 * 3 / 0.5), ())


def test_without_a_tube_diameter_its_ribbons_stand_in_with_a_note() -> None:
    """A tube of six ribbons counts as six ribbons, and the note says that its diameter is missing."""
    found = check_express(_CLOSURE, cable(ribbons_per_tube=6), 1, 0, 1000, 1.0)
    assert found.need_mm2 == pytest.approx(6 * 1.1592)
    assert "no tube diameter" in found.notes[0]


def test_loose_fibres_count_as_rounds() -> None:
    """A tube of twelve loose fibres without a diameter takes twelve rounds of 0.25 mm."""
    loose = cable(ribbon_form="loose", ribbons_per_tube=1)
    assert check_express(_CLOSURE, loose, 1, 0, 500, 1.0).need_mm2 == pytest.approx(12 * math.pi / 64, abs=1e-6)


def test_nothing_uncut_needs_no_room() -> None:
    """A cable that is cut through whole asks for nothing, even of a closure without figures."""
    assert check_express(closure(), cable(), 0, 0, 4400, 0.5) == (0.0, ())


@pytest.mark.parametrize(("missing", "word"), [("express_mm2", "room"), ("express_turn_mm", "turn")])
def test_a_missing_figure_is_a_note_and_no_judgement(missing: str, word: str) -> None:
    """Without the closure's room or turn there is no need to compare, and the note names what is missing."""
    figures = {"express_mm2": 500.0, "express_turn_mm": 1000.0, missing: None}
    found = check_express(closure(**figures), cable(tube_od_mm=3.0), 2, 0, 4400, 0.5)
    assert found.need_mm2 is None
    assert f"no express {word}" in found.notes[0]


def test_a_fill_of_nothing_is_refused() -> None:
    """A share of the room must be above 0 and at most 1."""
    with pytest.raises(ValueError, match="fill"):
        check_express(_CLOSURE, cable(), 1, 0, 1000, 0.0)
