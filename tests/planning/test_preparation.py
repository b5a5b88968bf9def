"""Preparation: which method prepares an end, and the card for it."""

from __future__ import annotations

import pytest

from service.domain.catalogue import RibbonForm
from service.planning.preparation import EndsToPrepare, MethodInUse, SpliceForm, card, cards, filled, method_for
from service.standards.methods import SHIPPED
from tests.planning.entries import cable, method

_FULL = method(
    code="full",
    strip_dwell_s=4.0,
    strip_repeats=1,
    strip_length_mm=32.0,
    strip_tolerance_mm=1.0,
    cleave_length_mm=10.0,
    cutback_mm=40.0,
    clean_s=30.0,
    cleave_s=40.0,
    fuse_s=60.0,
    heat_s=50.0,
    lay_s=60.0,
    rework=0.05,
)


def test_the_cables_own_method_comes_first() -> None:
    """Though another suits the number of fibres just as well and stands before it by code."""
    chosen = method_for(cable(method="m2"), "ribbon", 12, [method(code="m1"), method(code="m2")])
    assert (chosen.method.code, chosen.shipped) == ("m2", False)


def test_a_cables_method_of_the_wrong_form_is_not_used() -> None:
    """A method for single fibres does not prepare ribbons, nor one for twelve a ribbon of twenty-four."""
    single = method(code="s", ribbon_form="single", fibres=None)
    assert method_for(cable(method="s"), "ribbon", 12, [single, method(code="m")]).method.code == "m"
    wide = method(code="w", fibres=24)
    assert method_for(cable(method="m"), "ribbon", 24, [method(code="m"), wide]).method.code == "w"


def test_just_so_many_fibres_go_before_any_number() -> None:
    """Then the method for any number, and of equals the smallest code."""
    any_number = method(code="a", fibres=None)
    assert method_for(cable(), "ribbon", 12, [any_number, method(code="b")]).method.code == "b"
    assert method_for(cable(), "ribbon", 8, [any_number, method(code="b")]).method.code == "a"
    assert method_for(cable(), "ribbon", 12, [method(code="d"), method(code="c")]).method.code == "c"


@pytest.mark.parametrize(
    ("ribbon_form", "form", "shipped"),
    [
        ("flat", "ribbon", "flat"),
        ("rollable", "ribbon", "rollable"),
        ("loose", "ribbon", "flat"),
        ("flat", "single", "single"),
        ("loose", "single", "single"),
    ],
)
def test_without_a_method_the_shipped_default_of_the_form_is_used_and_noted(
    ribbon_form: RibbonForm, form: SpliceForm, shipped: str
) -> None:
    """A loose tube that is ribbonised in the field is prepared as a flat ribbon; single fibres as single fibres."""
    chosen = method_for(cable(ribbon_form=ribbon_form), form, 12 if form == "ribbon" else 1, [])
    assert chosen.shipped
    assert chosen.method == SHIPPED[shipped]  # type: ignore[index]
    assert "no method" in chosen.notes[0]


def test_a_method_for_loose_fibre_prepares_single_fibres() -> None:
    """Loose and single are the same work."""
    loose = method(code="l", ribbon_form="loose", fibres=1)
    assert method_for(cable(), "single", 1, [loose]).method.code == "l"


def test_figures_that_a_method_leaves_out_are_filled_in_and_named() -> None:
    """Its own figures stay; each shipped one is named in the note."""
    in_use = filled(method(strip_dwell_s=9.0, cutback_mm=0.0))
    assert in_use.method.strip_dwell_s == 9.0
    assert in_use.method.cutback_mm == 0.0
    assert in_use.method.cleave_length_mm == SHIPPED["flat"].cleave_length_mm
    (note,) = in_use.notes
    assert "cleave length" in note and "strip dwell" not in note and "cutback" not in note


def test_a_full_method_is_used_as_it_is() -> None:
    """Nothing filled in, nothing noted."""
    assert filled(_FULL) == MethodInUse(_FULL, False)


def test_ends_prepared_alike_share_a_card() -> None:
    """Two cables by one method and number of fibres give one card with all their ends; other numbers their own."""
    made = cards(
        [
            EndsToPrepare(cable(code="a"), "ribbon", 12, 24),
            EndsToPrepare(cable(code="b"), "ribbon", 8, 1),
            EndsToPrepare(cable(code="b"), "ribbon", 12, 22),
            EndsToPrepare(cable(code="c"), "ribbon", 12, 0),
        ],
        [method(code="m", fibres=None)],
    )
    assert [(one.method, one.fibres, one.ends, one.shipped) for one in made] == [
        ("m", 12, 46, False),
        ("m", 8, 1, False),
    ]


def test_ribbonised_ends_have_a_card_that_says_so() -> None:
    """The same method, another card, since the fibres are laid into a ribbon first."""
    made = cards(
        [EndsToPrepare(cable(), "ribbon", 12, 2), EndsToPrepare(cable(ribbon_form="loose"), "ribbon", 12, 3)], [_FULL]
    )
    assert [one.ends for one in made] == [2, 3]
    assert made[0].notes is None
    assert "into a ribbon" in (made[1].notes or "")


def test_a_card_shows_how_the_ends_are_stripped_cleaved_and_held() -> None:
    """The figures of the method, and what was filled in as a note."""
    one = card(filled(method(holder="12-fibre holder", strip_dwell_s=4.0, notes="Hold it flat.")), 12, 24)
    assert (one.strip_dwell_s, one.holder, one.ends) == (4.0, "12-fibre holder", 24)
    assert one.notes is not None
    assert one.notes.startswith("Hold it flat. Method flat-12 leaves out ") and one.notes.endswith(".")
