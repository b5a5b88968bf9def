"""Cables: how tightly they may be bent."""

from __future__ import annotations

from service.standards.cables import coil_diameter_mm, static_radius_mm, tension_radius_mm


def test_a_cables_own_factor_goes_before_the_default() -> None:
    """Ten times the diameter unless the cable says fifteen; a coil is twice as wide."""
    assert static_radius_mm(20) == 200
    assert static_radius_mm(20, 15) == 300
    assert coil_diameter_mm(20, 15) == 600


def test_under_tension_a_cable_bends_less() -> None:
    """Twice the installed radius by default."""
    assert tension_radius_mm(20) == 2 * static_radius_mm(20)
