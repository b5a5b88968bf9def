"""How tightly a cable may be bent, as a multiple of its diameter."""

from __future__ import annotations

from service.standards.provenance import Source

STATIC_BEND_FACTOR = 10.0
"""Smallest bend radius of an installed, unloaded cable over its diameter, where the cable names none."""
STATIC_SOURCE = Source("FOA guide to bend radius, and TIA-568.3 from memory", "secondary")

TENSION_BEND_FACTOR = 20.0
"""Smallest bend radius under tension over the diameter, unless the cable's own figure is stricter."""
TENSION_SOURCE = Source("7 CFR 1755.200: twenty times the cable diameter", "published")


def static_radius_mm(od_mm: float, bend_factor: float | None = None) -> float:
    """Smallest radius of an installed cable: its own bend factor, or ten, times its diameter."""
    return (STATIC_BEND_FACTOR if bend_factor is None else bend_factor) * od_mm


def tension_radius_mm(od_mm: float) -> float:
    """Smallest radius while the cable is pulled: twenty times its diameter."""
    return TENSION_BEND_FACTOR * od_mm


def coil_diameter_mm(od_mm: float, bend_factor: float | None = None) -> float:
    """Smallest inner diameter of a coil of slack: twice the static radius."""
    return 2 * static_radius_mm(od_mm, bend_factor)
