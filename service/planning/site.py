"""Whether the closure and the coils of cable slack go into the place: handhole, vault, pole bracket or pedestal.

The closure lies along the longer side, and coils and closure lie one above the other in the depth. In a handhole, vault
or pedestal the lid closes where the depth takes them; on a pole they hang from a bracket in the open, the depth is how
far they may stand out, and there is no lid. Geometry from memory, common practice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from service.domain.catalogue import Cable, Closure
from service.domain.plan import Coil, SiteFit, SlackRoom
from service.domain.request import CableAtPoint, Site
from service.planning.coils import coil_in, most_slack_m
from service.standards.cables import STATIC_BEND_FACTOR, static_radius_mm

HABIT_MM = 600.0
"""The customary coil diameter (trade articles on cable reserve); a habit, not a rule."""

_CLOSE = 1e-9


def check_site(site: Site, closure: Closure, cables: Sequence[tuple[CableAtPoint, Cable]]) -> SiteFit:
    """The coil of each cable that has slack, as wide as the place takes, whether all goes in, and what slack would.

    ``fits`` is None where nothing is too large but a size of the closure is missing.
    """
    width = min(site.length_mm, site.width_mm)
    notes: list[str] = []
    coils: list[Coil] = []
    for at, cable in cables:
        if at.slack_m is None:
            notes.append(f"cable {at.tag}: no slack is given, so no coil is judged")
        elif at.slack_m > 0:
            coil = coil_in(width, at.tag, at.slack_m, cable)
            coils.append(coil)
            notes += _coil_notes(width, coil, cable)
    narrow = [f"{coil.cable} {coil.diameter_mm:.0f} mm" for coil in coils if coil.fits and coil.diameter_mm < HABIT_MM]
    if narrow:
        notes.append(f"coils under the customary {HABIT_MM:g} mm, which their cables allow: {', '.join(narrow)}")
    lies, closure_notes = _closure_lies(site, closure, [cable for _, cable in cables])
    depth = math.fsum(coil.thickness_mm for coil in coils) + (closure.diameter_mm or 0.0)
    too_high = depth > site.depth_mm + _CLOSE
    if too_high:
        closure_notes.append(
            f"coils and closure are {depth:.0f} mm high one above the other, the place {site.depth_mm:g} mm"
        )
    fits = False if too_high or not all(coil.fits for coil in coils) else lies
    return SiteFit(
        fits=fits,
        coils=tuple(coils),
        notes=(*notes, *closure_notes),
        depth_used_mm=depth,
        lid_closes=_lid_closes(site, closure, too_high),
        slack_fits=_slack_fits(site, cables, coils, depth, closure_lies=lies is not False),
    )


def _lid_closes(site: Site, closure: Closure, too_high: bool) -> bool | None:
    if site.kind == "pole":
        return None
    if too_high:
        return False
    return None if closure.diameter_mm is None else True


def _slack_fits(
    site: Site,
    cables: Sequence[tuple[CableAtPoint, Cable]],
    coils: Sequence[Coil],
    depth_mm: float,
    *,
    closure_lies: bool,
) -> tuple[SlackRoom, ...]:
    """For each cable the most slack beside what else lies there; none where the closure does not go in by itself."""
    heights = {coil.cable: coil.thickness_mm for coil in coils}
    width = min(site.length_mm, site.width_mm)
    return tuple(
        SlackRoom(
            at.tag,
            most_slack_m(width, site.depth_mm - (depth_mm - heights.get(at.tag, 0.0)), cable) if closure_lies else 0.0,
        )
        for at, cable in cables
    )


def _coil_notes(width_mm: float, coil: Coil, cable: Cable) -> list[str]:
    notes = []
    if cable.bend_factor is None:
        notes.append(
            f"cable {coil.cable}: no bend factor is given; {STATIC_BEND_FACTOR:g} x diameter is taken for the coil"
        )
    if not coil.fits:
        outer = coil.diameter_mm + 2 * coil.thickness_mm
        notes.append(
            f"cable {coil.cable}: its smallest coil, {coil.turns} turns of {coil.diameter_mm:g} mm inside, "
            f"is {outer:.0f} mm across; the place is {width_mm:g} mm wide"
        )
    return notes


def _closure_lies(site: Site, closure: Closure, cables: Sequence[Cable]) -> tuple[bool | None, list[str]]:
    """Whether the closure by itself goes in lengthwise and across; None where one of these sizes is missing."""
    longer, shorter = max(site.length_mm, site.width_mm), min(site.length_mm, site.width_mm)
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
    return fits, notes
