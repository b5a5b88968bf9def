"""Whether the closure and the coils of cable slack go into the place: handhole, vault, pole bracket or pedestal.

A coil of inner diameter D and slack L has ``ceil(L / (pi D))`` turns, bound into a bundle of thickness
``od x sqrt(turns / 0.75)`` (loose round packing). It lies flat, so it needs ``D + 2 x thickness`` of the shorter side;
coils and closure lie one above the other in the depth. Geometry from memory, common practice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from service.domain.catalogue import Cable, Closure
from service.domain.plan import Coil, SiteFit
from service.domain.request import CableAtPoint, Site
from service.standards.cables import STATIC_BEND_FACTOR, coil_diameter_mm, static_radius_mm

BUNDLE_FILL = 0.75
"""Share of a bundle's round that is cable when it is coiled by hand; common practice, no source."""

HABIT_MM = 600.0
"""The customary coil diameter (trade articles on cable reserve); a habit, not a rule."""


def coil_turns(slack_m: float, diameter_mm: float) -> int:
    """``ceil(L / (pi D))``."""
    return math.ceil(slack_m * 1000 / (math.pi * diameter_mm) - 1e-9)


def bundle_mm(od_mm: float, turns: int) -> float:
    """``od x sqrt(turns / 0.75)``: thickness of the bundle."""
    return od_mm * math.sqrt(turns / BUNDLE_FILL)


def check_site(site: Site, closure: Closure, cables: Sequence[tuple[CableAtPoint, Cable]]) -> SiteFit:
    """The coil of each cable that has slack, as wide as the place takes, and whether all goes in.

    ``fits`` is None where nothing is too large but a size of the closure is missing.
    """
    notes: list[str] = []
    coils: list[Coil] = []
    for at, cable in cables:
        if at.slack_m is None:
            notes.append(f"cable {at.tag}: no slack is given, so no coil is judged")
        elif at.slack_m > 0:
            coil = _coil(site, at.tag, at.slack_m, cable)
            coils.append(coil)
            notes += _coil_notes(site, coil, cable)
    narrow = [f"{coil.cable} {coil.diameter_mm:.0f} mm" for coil in coils if coil.fits and coil.diameter_mm < HABIT_MM]
    if narrow:
        notes.append(f"coils under the customary {HABIT_MM:g} mm, which their cables allow: {', '.join(narrow)}")
    closure_fits, closure_notes = _closure(site, closure, coils, [cable for _, cable in cables])
    fits: bool | None = closure_fits
    if not all(coil.fits for coil in coils):
        fits = False
    return SiteFit(fits, tuple(coils), (*notes, *closure_notes))


def _coil(site: Site, tag: str, slack_m: float, cable: Cable) -> Coil:
    smallest = coil_diameter_mm(cable.od_mm, cable.bend_factor)
    turns = _fewest_turns(min(site.length_mm, site.width_mm), slack_m, cable.od_mm, smallest)
    if turns is None:
        turns = coil_turns(slack_m, smallest)
        return Coil(tag, smallest, turns, round(bundle_mm(cable.od_mm, turns), 3), False)
    diameter = min(site.length_mm, site.width_mm) - 2 * bundle_mm(cable.od_mm, turns)
    # A whole number of mm is easier to lay out, where the turns allow it.
    if math.floor(diameter) >= smallest and coil_turns(slack_m, math.floor(diameter)) == turns:
        diameter = float(math.floor(diameter))
    return Coil(tag, diameter, turns, round(bundle_mm(cable.od_mm, turns), 3), True)


def _fewest_turns(width_mm: float, slack_m: float, od_mm: float, smallest_mm: float) -> int | None:
    """The fewest turns whose widest coil takes the slack, None where no coil down to the smallest does.

    With n turns the widest coil is ``width - 2 x thickness(n)``; the length it takes grows with n up to
    ``n = 0.75 (width / 3 od)^2`` and falls beyond, so the fewest lie on the rising side.
    """

    def widest(turns: int) -> float:
        return width_mm - 2 * bundle_mm(od_mm, turns)

    def length(turns: int) -> float:
        return math.pi * turns * widest(turns)

    most = math.floor(BUNDLE_FILL * ((width_mm - smallest_mm) / (2 * od_mm)) ** 2 + 1e-9)
    peak = math.ceil(BUNDLE_FILL * (width_mm / (3 * od_mm)) ** 2)
    if width_mm < smallest_mm or most < 1:
        return None
    longest = max(max(1, peak - 1), peak, key=length)
    low, high = 1, min(most, longest)
    needed = slack_m * 1000 - 1e-6
    if length(high) < needed:
        return None
    while low < high:
        middle = (low + high) // 2
        if length(middle) >= needed:
            high = middle
        else:
            low = middle + 1
    return low


def _coil_notes(site: Site, coil: Coil, cable: Cable) -> list[str]:
    notes = []
    if cable.bend_factor is None:
        notes.append(
            f"cable {coil.cable}: no bend factor is given; {STATIC_BEND_FACTOR:g} x diameter is taken for the coil"
        )
    if not coil.fits:
        outer = coil.diameter_mm + 2 * coil.thickness_mm
        notes.append(
            f"cable {coil.cable}: its smallest coil, {coil.turns} turns of {coil.diameter_mm:g} mm inside, "
            f"is {outer:.0f} mm across; the place is {min(site.length_mm, site.width_mm):g} mm wide"
        )
    return notes


def _closure(
    site: Site, closure: Closure, coils: Sequence[Coil], cables: Sequence[Cable]
) -> tuple[bool | None, tuple[str, ...]]:
    longer, shorter = max(site.length_mm, site.width_mm), min(site.length_mm, site.width_mm)
    stacked = math.fsum(coil.thickness_mm for coil in coils)
    notes: list[str] = []
    fits: bool | None = True
    length, diameter = closure.length_mm, closure.diameter_mm
    for size, missing in (("length", length is None), ("diameter", diameter is None)):
        if missing:
            fits = None
            notes.append(f"closure {closure.code} gives no {size}: it is not judged whether that goes in")
    if length is not None:
        if length > longer:
            fits = False
            notes.append(f"the closure is {length:g} mm long, the place {longer:g} mm")
        else:
            ends = 1 if closure.form == "dome" else 2
            bent = max((static_radius_mm(cable.od_mm, cable.bend_factor) for cable in cables), default=0.0)
            if length + ends * bent > longer:
                notes.append(
                    f"the closure and its cables' bends are {length + ends * bent:.0f} mm long, "
                    f"the place {longer:g} mm: check by hand that no cable is bent too tight at its entry"
                )
    if diameter is not None and diameter > shorter:
        fits = False
        notes.append(f"the closure is {diameter:g} mm across, the place {shorter:g} mm wide")
    depth = stacked + (diameter or 0.0)
    if depth > site.depth_mm + 1e-9:
        fits = False
        notes.append(f"coils and closure are {depth:.0f} mm high one above the other, the place {site.depth_mm:g} mm")
    return fits, tuple(notes)
