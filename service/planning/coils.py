"""Coils of cable slack: how many turns, how wide, how thick, and how much slack a place would take.

A coil of inner diameter D and slack L has ``ceil(L / (pi D))`` turns, bound into a bundle of thickness
``od x sqrt(turns / 0.75)`` (loose round packing). It lies flat, so it is ``D + 2 x thickness`` across and as high as
the bundle is thick. Geometry from memory, common practice.
"""

from __future__ import annotations

import math

from service.domain.catalogue import Cable
from service.domain.plan import Coil
from service.standards.cables import coil_diameter_mm

BUNDLE_FILL = 0.75
"""Share of a bundle's round that is cable when it is coiled by hand; common practice, no source."""

SLACK_MOST_M = 10_000.0
"""No request names more slack than that, so more room is not told."""


def coil_turns(slack_m: float, diameter_mm: float) -> int:
    """``ceil(L / (pi D))``."""
    return math.ceil(slack_m * 1000 / (math.pi * diameter_mm) - 1e-9)


def bundle_mm(od_mm: float, turns: int) -> float:
    """``od x sqrt(turns / 0.75)``: thickness of the bundle."""
    return od_mm * math.sqrt(turns / BUNDLE_FILL)


def coil_in(width_mm: float, tag: str, slack_m: float, cable: Cable) -> Coil:
    """The widest coil of a cable's slack in a place so wide; where none goes in, the smallest, which does not fit."""
    smallest = coil_diameter_mm(cable.od_mm, cable.bend_factor)
    turns = _fewest_turns(width_mm, slack_m, cable.od_mm, smallest)
    if turns is None:
        return _coil(tag, smallest, coil_turns(slack_m, smallest), cable.od_mm, smallest, fits=False)
    diameter = width_mm - 2 * bundle_mm(cable.od_mm, turns)
    # A whole number of mm is easier to lay out, where the turns allow it.
    if math.floor(diameter) >= smallest and coil_turns(slack_m, math.floor(diameter)) == turns:
        diameter = float(math.floor(diameter))
    return _coil(tag, diameter, turns, cable.od_mm, smallest, fits=True)


def most_slack_m(width_mm: float, height_mm: float, cable: Cable) -> float:
    """The most slack (m, rounded down to 0.01) whose coil goes into a place so wide and so high; 0 where none does."""
    smallest = coil_diameter_mm(cable.od_mm, cable.bend_factor)
    turns = min(_most_turns(width_mm, cable.od_mm, smallest), _turns_as_high_as(height_mm, cable.od_mm))
    if turns < 1:
        return 0.0
    turns = min(turns, _longest_turns(width_mm, cable.od_mm))
    return min(SLACK_MOST_M, math.floor(_length_mm(width_mm, cable.od_mm, turns) / 10 + 1e-7) / 100)


def _coil(tag: str, diameter_mm: float, turns: int, od_mm: float, smallest_mm: float, *, fits: bool) -> Coil:
    thickness = round(bundle_mm(od_mm, turns), 3)
    return Coil(
        cable=tag,
        diameter_mm=diameter_mm,
        turns=turns,
        thickness_mm=thickness,
        fits=fits,
        smallest_mm=smallest_mm,
        outer_mm=diameter_mm + 2 * thickness,
        height_mm=thickness,
    )


def _fewest_turns(width_mm: float, slack_m: float, od_mm: float, smallest_mm: float) -> int | None:
    """The fewest turns whose widest coil takes the slack, None where no coil down to the smallest does."""
    most = _most_turns(width_mm, od_mm, smallest_mm)
    if most < 1:
        return None
    low, high = 1, min(most, _longest_turns(width_mm, od_mm))
    needed = slack_m * 1000 - 1e-6
    if _length_mm(width_mm, od_mm, high) < needed:
        return None
    while low < high:
        middle = (low + high) // 2
        if _length_mm(width_mm, od_mm, middle) >= needed:
            high = middle
        else:
            low = middle + 1
    return low


def _length_mm(width_mm: float, od_mm: float, turns: int) -> float:
    """What the widest coil of so many turns takes: ``pi n (width - 2 x thickness)``."""
    return math.pi * turns * (width_mm - 2 * bundle_mm(od_mm, turns))


def _most_turns(width_mm: float, od_mm: float, smallest_mm: float) -> int:
    """With how many turns a coil in that width is still no narrower inside than the cable allows."""
    if width_mm < smallest_mm:
        return 0
    return math.floor(BUNDLE_FILL * ((width_mm - smallest_mm) / (2 * od_mm)) ** 2 + 1e-9)


def _longest_turns(width_mm: float, od_mm: float) -> int:
    """The turns whose widest coil takes most: its length grows up to ``0.75 (width / 3 od)^2`` of them, then falls."""
    peak = math.ceil(BUNDLE_FILL * (width_mm / (3 * od_mm)) ** 2)
    return max(max(1, peak - 1), peak, key=lambda turns: _length_mm(width_mm, od_mm, turns))


def _turns_as_high_as(height_mm: float, od_mm: float) -> int:
    """The most turns whose bundle, to 0.001 mm as it is told, is no thicker than the height left."""
    turns = math.floor(BUNDLE_FILL * (max(0.0, height_mm + 1e-9) / od_mm) ** 2) + 1
    while turns > 0 and round(bundle_mm(od_mm, turns), 3) > height_mm + 1e-9:
        turns -= 1
    return turns
