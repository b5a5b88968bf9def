"""Site: the coils of slack and the closure in the place."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.request import Site
from service.planning.coils import bundle_mm, coil_turns
from service.planning.site import check_site
from tests.planning.entries import at_point, closure

_BOX = Site("handhole", 900.0, 600.0, 600.0)
_SHELL = closure(length_mm=500.0, diameter_mm=200.0)


def test_the_widest_coil_that_the_place_takes_is_chosen() -> None:
    """15 m of 20 mm cable in 600 mm: eleven turns of 446 mm, wider than the 400 mm that it may go down to."""
    (coil,) = check_site(_BOX, _SHELL, [at_point("A", 20.0, slack_m=15.0)]).coils
    assert coil.fits
    assert coil.turns == 11
    assert coil.diameter_mm >= 400
    assert coil.diameter_mm + 2 * coil.thickness_mm <= 600
    assert coil_turns(15.0, coil.diameter_mm) == coil.turns


def test_all_fits_where_the_place_is_roomy() -> None:
    """A vault of two metres takes the closure and two coils, and nothing is missing."""
    found = check_site(
        Site("vault", 2000, 1300, 2000), _SHELL, [at_point("A", 20.0, slack_m=15.0), at_point("B", 12.0, slack_m=30.0)]
    )
    assert found.fits is True
    assert [coil.cable for coil in found.coils] == ["A", "B"]


def test_a_cables_own_bend_factor_goes_before_the_default() -> None:
    """At 15 times its diameter the smallest coil is 600 mm, and the default is not mentioned."""
    found = check_site(_BOX, _SHELL, [at_point("A", 20.0, slack_m=15.0, bend_factor=15.0)])
    assert found.coils[0].diameter_mm == 600
    assert found.fits is False
    assert not any("no bend factor" in note for note in found.notes)
    assert any("no bend factor" in note for note in check_site(_BOX, _SHELL, [at_point("A", slack_m=1.0)]).notes)


def test_a_coil_below_the_customary_diameter_is_a_note_not_a_refusal() -> None:
    """600 mm is a habit."""
    found = check_site(_BOX, _SHELL, [at_point("A", 20.0, slack_m=15.0)])
    assert found.coils[0].fits
    assert "coils under the customary 600 mm, which their cables allow: A 446 mm" in found.notes


def test_a_place_that_takes_the_coil_to_the_millimetre_takes_it() -> None:
    """Three turns of 20 mm cable are a bundle of 40 mm: 400 mm inside go in a width of 480 mm, and not in 479 mm.

    The closure of 200 mm above it needs a depth of 240 mm.
    """
    cables = [at_point("A", 20.0, slack_m=3.7)]
    found = check_site(Site("vault", 900, 480, 240), _SHELL, cables)
    assert found.fits is True
    (coil,) = found.coils
    assert (coil.turns, coil.diameter_mm, coil.thickness_mm) == (3, pytest.approx(400), pytest.approx(40))
    tight = check_site(Site("vault", 900, 479, 240), _SHELL, cables)
    assert not tight.coils[0].fits
    assert any("is 480 mm across; the place is 479 mm wide" in note for note in tight.notes)
    assert check_site(Site("vault", 900, 480, 239.9), _SHELL, cables).fits is False


def test_a_coil_of_the_customary_diameter_needs_no_note() -> None:
    """Three turns at 600 mm inside in a width of 680 mm."""
    found = check_site(Site("vault", 900, 680, 600), _SHELL, [at_point("A", 20.0, slack_m=5.6)])
    assert found.coils[0].diameter_mm == pytest.approx(600)
    assert not any("customary" in note for note in found.notes)


def test_slack_that_comes_out_even_takes_no_further_turn() -> None:
    """Three circumferences of 600 mm are three turns, a hair more are four; the coil is told in whole mm."""
    assert coil_turns(3 * math.pi * 0.6, 600) == 3
    assert coil_turns(3 * math.pi * 0.6 + 1e-6, 600) == 4
    (coil,) = check_site(_BOX, _SHELL, [at_point("A", 20.0, slack_m=15.0)]).coils
    assert coil.diameter_mm == 446


def test_more_turns_than_the_best_take_less_length() -> None:
    """50 mm cable in 350 mm: four turns take 1.496 m, five only 1.442 m, since the bundle eats the width."""
    cables = [at_point("A", 50.0, slack_m=1.48, bend_factor=1.0)]
    found = check_site(Site("vault", 900, 350, 900), _SHELL, cables)
    (coil,) = found.coils
    assert (coil.fits, coil.turns) == (True, 4)
    assert found.slack_fits[0].slack_fits_m == 1.49


def test_a_cable_without_slack_has_no_coil() -> None:
    """Slack that is not given is noted and not judged; slack of nothing is nothing."""
    found = check_site(Site("vault", 2000, 1300, 2000), _SHELL, [at_point("A"), at_point("B", slack_m=0.0)])
    assert found.coils == ()
    assert found.fits is True
    assert [note for note in found.notes if "no slack" in note] == ["cable A: no slack is given, so no coil is judged"]


def test_a_closure_longer_or_wider_than_the_place_does_not_fit() -> None:
    """Length along the longer side, diameter across the shorter."""
    assert check_site(_BOX, closure(length_mm=901.0, diameter_mm=200.0), []).fits is False
    assert check_site(_BOX, closure(length_mm=500.0, diameter_mm=600.1), []).fits is False
    assert check_site(_BOX, closure(length_mm=900.0, diameter_mm=600.0), []).fits is True


def test_coils_and_closure_lie_one_above_the_other() -> None:
    """Each coil fits alone, but ten of them with the closure are higher than the place is deep."""
    cables = [at_point(f"c{i}", 20.0, slack_m=10.0) for i in range(10)]
    found = check_site(_BOX, _SHELL, cables)
    assert all(coil.fits for coil in found.coils)
    assert found.fits is False
    assert any("one above the other" in note for note in found.notes)


def test_a_missing_size_leaves_the_verdict_open_unless_something_is_too_large_anyway() -> None:
    """No size, no verdict, and a note; a coil that does not go in is a refusal all the same."""
    found = check_site(_BOX, closure(), [at_point("A", 20.0, slack_m=15.0)])
    assert found.fits is None
    assert sum("is not judged whether that goes in" in note for note in found.notes) == 2
    assert check_site(_BOX, closure(), [at_point("A", 40.0, slack_m=15.0)]).fits is False


def test_a_closure_that_leaves_no_room_to_bend_its_cables_is_noted() -> None:
    """An in-line closure of 700 mm with 200 mm of bend at each end in 900 mm: to be checked by hand."""
    shell = closure(form="inline", length_mm=700.0, diameter_mm=200.0)
    found = check_site(_BOX, shell, [at_point("A", 20.0)])
    assert any("1100 mm long" in note for note in found.notes)


def test_the_coil_tells_its_smallest_and_its_chosen_size_and_its_height() -> None:
    """15 m of 20 mm cable in 600 mm: at least 400 mm inside, 446 mm chosen, 11 turns a bundle of 76.6 mm (CALC).

    The smallest is 2 x 10 x the diameter (the FOA's rule for installed cable, secondary). Lying flat the coil is as
    high as the bundle, and 446 + 2 x 76.6 mm across.
    """
    (coil,) = check_site(_BOX, _SHELL, [at_point("A", 20.0, slack_m=15.0)]).coils
    assert (coil.smallest_mm, coil.diameter_mm, coil.turns) == (400, 446, 11)
    assert coil.thickness_mm == coil.height_mm == pytest.approx(20 * math.sqrt(11 / 0.75), abs=0.001)
    assert coil.outer_mm == pytest.approx(599.2, abs=0.05)


def test_the_lid_closes_where_coils_and_closure_are_no_higher_than_the_place() -> None:
    """A bundle of 40 mm and a closure of 200 mm: 240 mm are used, and a depth of 239 mm is too little (CALC)."""
    cables = [at_point("A", 20.0, slack_m=3.7)]
    found = check_site(Site("vault", 900, 480, 240), _SHELL, cables)
    assert (found.lid_closes, found.fits) == (True, True)
    assert found.depth_used_mm == pytest.approx(240)
    assert check_site(Site("vault", 900, 480, 239), _SHELL, cables).lid_closes is False
    wide = check_site(Site("handhole", 900, 470, 300), _SHELL, cables)
    assert (wide.lid_closes, wide.fits) == (True, False)


def test_whether_the_lid_closes_is_open_where_the_closure_gives_no_diameter() -> None:
    """Unless the coils alone are too high."""
    cables = [at_point("A", 20.0, slack_m=3.7)]
    assert check_site(Site("vault", 900, 480, 240), closure(length_mm=500.0), cables).lid_closes is None
    assert check_site(Site("vault", 900, 480, 39), closure(length_mm=500.0), cables).lid_closes is False


def test_a_pole_has_no_lid() -> None:
    """The bracket's depth still decides whether all fits."""
    cables = [at_point("A", 20.0, slack_m=3.7)]
    for depth, fits in ((240, True), (239, False)):
        found = check_site(Site("pole", 900, 480, depth), _SHELL, cables)
        assert (found.lid_closes, found.fits) == (None, fits)


def test_so_much_slack_would_fit() -> None:
    """Three turns of 400 mm, all that 480 x 240 mm take above a closure of 200 mm, are 3.769 m (CALC)."""
    found = check_site(Site("vault", 900, 480, 240), _SHELL, [at_point("A", 20.0, slack_m=1.0)])
    assert [(room.cable, room.slack_fits_m) for room in found.slack_fits] == [("A", 3.76)]


def test_slack_that_would_fit_is_told_for_a_cable_without_slack_too() -> None:
    """Beside a coil of 15 m of A; and none where the closure itself does not go in."""
    cables = [at_point("A", 20.0, slack_m=15.0), at_point("B", 12.0)]
    found = check_site(_BOX, _SHELL, cables)
    (b,) = (room for room in found.slack_fits if room.cable == "B")
    assert b.slack_fits_m > 15
    assert {room.slack_fits_m for room in check_site(_BOX, closure(length_mm=901.0), cables).slack_fits} == {0}


def test_a_cable_too_stiff_for_the_place_has_no_slack_that_would_fit() -> None:
    """25 mm cable coils no tighter than 500 mm inside, and one turn of it needs 558 mm (CALC)."""
    for width, some in ((557.0, False), (558.0, True)):
        found = check_site(Site("handhole", 914, width, 914), _SHELL, [at_point("A", 25.0, slack_m=10.0)])
        assert (found.slack_fits[0].slack_fits_m > 0) is some


@given(
    width=st.integers(300, 1500).map(float),
    depth=st.integers(150, 900).map(float),
    ods=st.lists(st.integers(50, 300).map(lambda tenths: tenths / 10), min_size=1, max_size=3),
    slacks=st.lists(st.integers(1, 300).map(lambda tenths: tenths / 10), min_size=3, max_size=3),
)
def test_the_slack_that_would_fit_does_fit_and_a_hand_more_does_not(
    width: float, depth: float, ods: list[float], slacks: list[float]
) -> None:
    """Sent again with that slack of one cable, its coil and the depth are in order; with 2 cm more they are not."""
    site, thin = Site("vault", width + 500, width, depth), closure(length_mm=200.0, diameter_mm=100.0)
    tags = [f"c{i}" for i in range(len(ods))]

    def judged(slack_m: list[float]) -> tuple[bool, float]:
        found = check_site(
            site, thin, [at_point(t, od, slack_m=s) for t, od, s in zip(tags, ods, slack_m, strict=True)]
        )
        first = [coil for coil in found.coils if coil.cable == "c0"]
        return all(coil.fits for coil in first) and found.lid_closes is True, found.slack_fits[0].slack_fits_m

    others = slacks[1 : len(ods)]
    _, most = judged([slacks[0], *others])
    if most > 0:
        assert judged([most, *others])[0]
    assert not judged([most + 0.02, *others])[0]


@given(
    width=st.integers(300, 1500).map(float),
    od=st.integers(50, 300).map(lambda tenths: tenths / 10),
    slack=st.integers(1, 600).map(lambda tenths: tenths / 10),
)
def test_a_coil_fits_exactly_where_some_number_of_turns_does(width: float, od: float, slack: float) -> None:
    """Against trying every number of turns: the same verdict, and the fewest turns, so the widest coil."""
    (coil,) = check_site(Site("vault", width + 500, width, 3000), _SHELL, [at_point("A", od, slack_m=slack)]).coils
    smallest = 20 * od
    fewest = next(
        (
            n
            for n in range(1, 2000)
            if (widest := width - 2 * bundle_mm(od, n)) >= smallest and math.pi * n * widest >= slack * 1000 - 1e-6
        ),
        None,
    )
    assert coil.fits == (fewest is not None)
    if fewest is not None:
        assert coil.turns == fewest
        assert coil.diameter_mm >= smallest
        assert coil.diameter_mm + 2 * coil.thickness_mm <= width + 1e-3
        assert math.pi * coil.turns * coil.diameter_mm >= slack * 1000 - 1e-3


@pytest.mark.parametrize("kind", ["handhole", "vault", "pole", "pedestal"])
def test_every_kind_of_place_is_checked_alike(kind: str) -> None:
    """The sizes decide, not the name."""
    assert check_site(Site(kind, 900, 600, 600), _SHELL, []).fits is True  # type: ignore[arg-type]
