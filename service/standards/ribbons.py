"""Outline of a flat fibre ribbon by its fibres and pitch, in whole µm and µm², rounded up.

At a pitch of 250 µm the extreme fibres of n lie up to (n - 1) x 262 µm apart; the matrix adds 338 µm in all, which
gives the published 3220 µm for twelve. Other pitches scale width and height by pitch / 250, common practice, no source.
"""

from __future__ import annotations

from functools import lru_cache

from service.standards.provenance import Source

PITCH_UM = 250
"""The pitch that the published figures are for."""

STEP_UM = 262
"""Largest distance between neighbouring fibres, averaged over the ribbon."""
STEP_SOURCE = Source("IEC 60794-1-31 and GR-20 extreme-fibre maxima; fits the published 2882 µm of twelve", "memory")

MATRIX_UM = 338
"""What the matrix and the outer fibres' coating add to the distance of the extreme fibres."""
MATRIX_SOURCE = Source("3220 - 2882 µm, TEC G/OFC-05/01 (2000)", "derived")

HEIGHT_UM = 360
"""Largest height of the ribbon."""
HEIGHT_SOURCE = Source("TEC G/OFC-05/01 (2000) for twelve fibres, as restated on a slide", "secondary")


def extreme_fibres_um(fibres: int) -> int:
    """Largest distance between the outermost fibres at 250 µm pitch, (n - 1) x 262 µm."""
    if fibres < 1:
        raise ValueError("A ribbon has at least one fibre.")
    return (fibres - 1) * STEP_UM


def width_um(fibres: int, pitch_um: int = PITCH_UM) -> int:
    """Largest width of a ribbon of so many fibres."""
    return _scaled(extreme_fibres_um(fibres) + MATRIX_UM, pitch_um)


def height_um(pitch_um: int = PITCH_UM) -> int:
    """Largest height of a ribbon."""
    return _scaled(HEIGHT_UM, pitch_um)


@lru_cache(maxsize=256)
def cross_section_um2(fibres: int, pitch_um: int = PITCH_UM) -> int:
    """Width x height: the room that one ribbon takes in a channel."""
    return width_um(fibres, pitch_um) * height_um(pitch_um)


def cross_section_mm2(fibres: int, pitch_um: int = PITCH_UM) -> float:
    """:func:`cross_section_um2` in mm²."""
    return cross_section_um2(fibres, pitch_um) / 1_000_000


def _scaled(length_um: int, pitch_um: int) -> int:
    if pitch_um < 1:
        raise ValueError("A pitch is positive.")
    return -(-length_um * pitch_um // PITCH_UM)
