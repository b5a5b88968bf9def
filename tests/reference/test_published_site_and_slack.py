"""Published and computed figures for cable bends, coils, slack and sleeves."""

from __future__ import annotations

import pytest

from service.domain.request import Site
from service.planning.coils import bundle_mm, coil_turns
from service.planning.site import check_site
from service.planning.slack import remakes_left
from service.planning.sleeves import covering_length_mm
from service.standards.cables import coil_diameter_mm, static_radius_mm, tension_radius_mm
from tests.planning.entries import at_point, closure


@pytest.mark.parametrize(("od", "tension", "static"), [(12, 240, 120), (18, 360, 180), (20, 400, 200), (25, 500, 250)])
def test_cables_bend_no_tighter_than_published(od: float, tension: float, static: float) -> None:
    """7 CFR 1755.200: 20 x diameter (read); 10 x once installed, as the FOA's guide restates it (secondary)."""
    assert (tension_radius_mm(od), static_radius_mm(od)) == (tension, static)


def test_a_coil_of_20_mm_cable_is_400_mm_inside() -> None:
    """Twice the static radius (computed)."""
    assert coil_diameter_mm(20) == 400


@pytest.mark.parametrize(("slack_m", "turns"), [(15, 8), (30, 16), (10, 6), (8, 5)])
def test_slack_in_the_customary_coil_has_so_many_turns(slack_m: float, turns: int) -> None:
    """L / (pi x 0.6 m) rounded up (computed); coils of 60 cm after an article on cable reserve (secondary)."""
    assert coil_turns(slack_m, 600) == turns


def test_eight_turns_of_20_mm_make_a_bundle_of_65_mm() -> None:
    """20 x sqrt(8 / 0.75) = 65.3 mm (computed)."""
    assert bundle_mm(20, 8) == pytest.approx(65.3, abs=0.05)


def test_25_mm_cable_does_not_coil_in_a_box_of_24_inches() -> None:
    """500 mm inside and a bundle of some 65 mm on each side are over 610 mm (computed)."""
    found = check_site(Site("handhole", 914, 610, 914), closure(), [at_point("A", 25.0, slack_m=10.0)])
    assert found.fits is False
    (coil,) = found.coils
    assert coil.diameter_mm == 500 and not coil.fits
    assert coil.diameter_mm + 2 * coil.thickness_mm > 630


def test_stored_length_affords_ten_remakes() -> None:
    """1.2 m stored, 0.8 m needed, 0.04 m an attempt: 10 (computed)."""
    assert remakes_left(1200, 800, 40) == 10


@pytest.mark.parametrize(
    ("sleeve_mm", "cleave_mm", "overlap_mm"), [(60, 16, 14), (60, 10, 20), (45, 10, 12.5), (40, 10, 10), (40, 8, 12)]
)
def test_a_sleeve_covers_just_the_computed_overlap(sleeve_mm: float, cleave_mm: float, overlap_mm: float) -> None:
    """(sleeve - 2 x cleave) / 2 at each end (computed)."""
    assert covering_length_mm(cleave_mm, overlap_mm) == sleeve_mm
