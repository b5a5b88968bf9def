"""The two bend checks: the radius that fibre may be stored at, and what the stored turns can add in loss at most."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from service.standards.bending import STORAGE_RADIUS_MM, STORAGE_RADIUS_UNKNOWN_MM, rows

WAVELENGTHS = ("1550", "1625")
"""The wavelengths in nm at which the loss is bounded."""


def required_radius_mm(category: str, overrides: Mapping[str, float]) -> tuple[float, str]:
    """The smallest storage radius of a fibre category, and in words what it rests on.

    The request's own radius comes first, then the shipped policy; an unknown category takes the largest radius.
    """
    if category in overrides:
        return overrides[category], f"storage radius for {category} as the request sets it"
    if category in STORAGE_RADIUS_MM:
        return STORAGE_RADIUS_MM[category], f"storage radius policy for {category}"
    return STORAGE_RADIUS_UNKNOWN_MM, f"storage radius policy for fibre of no listed category ({category})"


def categories_for(radius_mm: float, overrides: Mapping[str, float]) -> tuple[str, ...]:
    """The listed categories that may be stored at a radius: what would do where a tray is too tight."""
    return tuple(c for c in STORAGE_RADIUS_MM if required_radius_mm(c, overrides)[0] <= radius_mm)


def loss_bound_db(category: str, radius_mm: float, turns: int) -> dict[str, float | None]:
    """The most loss that so many turns in all (both sides) can add at a radius, by wavelength.

    The row of the largest tabulated radius not above this one, in proportion to its turns. None where the table names
    no limit, the category has no table, or the radius is below the table: a bound is never extrapolated.
    """
    radius = Decimal(repr(radius_mm))
    row = next((row for row in rows(category) if row.radius_mm <= radius), None)
    if row is None:
        return dict.fromkeys(WAVELENGTHS)
    limits = (row.db_1550, row.db_1625)
    return {
        wavelength: None if limit is None else float(limit * turns / row.turns)
        for wavelength, limit in zip(WAVELENGTHS, limits, strict=True)
    }
