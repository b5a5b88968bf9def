"""A plan as plain text for a terminal: the verdict first, then what the crew needs in the order it needs it."""

from __future__ import annotations

from collections.abc import Mapping

from service.domain.catalogue import Cable, Catalogue
from service.domain.plan import Plan
from service.domain.request import PlanRequest
from service.sheets.layout import bullets, section
from service.sheets.point_text import (
    bend_lines,
    crew_lines,
    headroom_lines,
    lane_lines,
    port_lines,
    reserve_lines,
    site_lines,
    slack_lines,
)
from service.sheets.refusal_text import part_lines, reason_lines, remedy_lines
from service.sheets.supply_text import material_lines, preparation_lines, sleeve_lines
from service.sheets.tray_map import tray_lines
from service.sheets.verdict_text import (
    alternative_lines,
    proof_lines,
    verdict_lines,
)


def plan_text(plan: Plan, catalogue: Catalogue, request: PlanRequest | None = None) -> str:
    """The whole plan as text, 88 columns wide, ending with a newline.

    Titles are looked up in ``catalogue``; a code that is not in it any more stands by itself. A plan names cables by
    tag: with its ``request`` the tubes and their colours are told too, without it numbers alone.
    """
    cables = _cables(catalogue, request)
    trays = [line for tray in plan.trays for line in ["", *tray_lines(tray, _title(catalogue, tray.tray), cables)]]
    lines = [
        *verdict_lines(plan, catalogue),
        *section("WHY IT DOES NOT FIT", reason_lines(plan)),
        *section("WHAT WOULD MAKE IT FIT", remedy_lines(plan)),
        *section("HOW MUCH OF IT FITS", part_lines(plan)),
        *section("TRAYS, FROM 1 UP", trays[1:]),
        *section("PROOF", proof_lines(plan)),
        *section("SLEEVES TO CARRY", sleeve_lines(plan, catalogue)),
        *section("MATERIALS", material_lines(plan)),
        *section("SLACK AND SHEATH OPENING", slack_lines(plan)),
        *section("PORTS", port_lines(plan)),
        *section("BEND OF THE STORED TURNS", bend_lines(plan)),
        *section("RESERVE", reserve_lines(plan)),
        *section("ROOM FOR MORE", headroom_lines(plan)),
        *section("FIBRES", lane_lines(plan)),
        *section("PREPARATION", preparation_lines(plan)),
        *section("CREW", crew_lines(plan)),
        *section("PLACE", site_lines(plan)),
        *section("OTHER CLOSURES", alternative_lines(plan)),
        *section("NOTES", bullets(plan.notes)),
        *section("CAUTIONS", bullets(plan.cautions)),
    ]
    return "\n".join(lines) + "\n"


def _title(catalogue: Catalogue, code: str) -> str:
    tray = catalogue.trays.get(code)
    return tray.title if tray else ""


def _cables(catalogue: Catalogue, request: PlanRequest | None) -> Mapping[str, Cable]:
    at_point = request.cables if request else ()
    return {each.tag: catalogue.cables[each.cable] for each in at_point if each.cable in catalogue.cables}
