"""Cables, ports and seals, and the lengths to open and to store."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from service.domain.dossier import Dossier
from service.domain.plan import PortUse
from service.domain.request import CableAtPoint
from service.sheets.layout import counted, listed, number
from service.sheets.point_text import bend_sentences, lane_sentences
from service.sheets.work_sheet.grid import heading, paragraph, points, table

if TYPE_CHECKING:
    from fpdf import FPDF


def cables(pages: FPDF, dossier: Dossier) -> None:
    """Which cable goes in where, under which seal; what stays blank; how its fibres are used."""
    heading(pages, "Cables, ports and seals")
    heads = ("Cable", "Model", "Diameter", "Fibres", "Port", "Seal for")
    table(pages, heads, (16, 62, 20, 40, 20, 16), _cable_rows(dossier))
    if dossier.plan.spare_ports:
        paragraph(pages, f"Stay blank, each with a plug: {', '.join(dossier.plan.spare_ports)}.")
    points(pages, lane_sentences(dossier.plan))


def _cable_rows(dossier: Dossier) -> Iterator[tuple[str, ...]]:
    """A row a cable; a port into which nothing new goes keeps the seal that it has."""
    hanging = {at.tag for at in dossier.request.cables if at.hanging is not None}
    for at in dossier.request.cables:
        cable = dossier.catalogue.cables.get(at.cable)
        uses = [use for use in dossier.plan.ports if at.tag in use.cables]
        yield (
            at.tag,
            f"{at.cable}, {cable.title}" if cable else at.cable,
            f"{cable.od_mm:g} mm" if cable else "",
            _fibres(dossier, at),
            ", ".join(use.port for use in uses),
            "as it is"
            if all(tag in hanging for use in uses for tag in use.cables)
            else listed([f"{od:g}" for use in uses for od in _diameters(use, at)]) + " mm",
        )


def _diameters(use: PortUse, at: CableAtPoint) -> list[float]:
    return [od for tag, od in zip(use.cables, use.od_mm, strict=True) if tag == at.tag]


def _fibres(dossier: Dossier, at: CableAtPoint) -> str:
    cable = dossier.catalogue.cables.get(at.cable)
    passes = "passes through" if at.express else "ends here"
    if at.hanging is not None:
        passes += ", HANGS ALREADY"
    if cable is None:
        return passes
    armoured = ", ARMOURED" if cable.armoured else ""
    return f"{cable.fibres}, {cable.ribbon_form}, {passes}{armoured}"


def lengths(pages: FPDF, dossier: Dossier) -> None:
    """The sheath opening and what is stored a side, cable by cable, and whether the stored turns are wide enough."""
    plan = dossier.plan
    heading(pages, "Sheath opening and slack")
    heads = ("Cable", "Sheath opening", "Window (passing)", "Stored a side", "Turns a side", "Remakes left", "Outside")
    rows = [
        (
            slack.cable,
            f"{number(slack.sheath_opening_mm)} mm" if slack.sheath_opening_mm else "open already",
            "" if slack.window_mm is None else f"{number(slack.window_mm)} mm",
            f"{number(slack.stored_mm)} mm",
            str(slack.turns),
            str(slack.remakes_left),
            "" if slack.slack_m is None else f"{slack.slack_m:g} m",
        )
        for slack in plan.slack
    ]
    table(pages, heads, (20, 28, 30, 28, 24, 24, 20), rows, right=range(1, 7))
    reach = f"Stored so that every ribbon comes {plan.rules.reach_mm:g} mm out of the tray"
    turns = "whole turns, so that the sleeve lies in its slot"
    points(pages, [f"{reach} and affords {counted(plan.rules.remakes, 'remake')}; {turns}."])
    points(pages, bend_sentences(plan))
