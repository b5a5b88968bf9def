"""What a stored plan asks to be brought, and who does the work, read back into the domain."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.domain.plan import Coil, CrewGain, CrewTime, MaterialLine, Preparation, SiteFit, SlackRoom, SleeveCount

Document = Mapping[str, Any]


def sleeve_from(document: Document) -> SleeveCount:
    """Read the sleeves to carry."""
    return SleeveCount(**document)


def material_from(document: Document) -> MaterialLine:
    """Read one line of the material list; its quantities are exact to the six decimals that are written."""
    members = dict(document)
    for name in ("quantity", "included"):
        members[name] = Decimal(str(members[name]))
    if "price" in members:
        members["price"] = Decimal(members["price"])
    return MaterialLine(**members)


def preparation_from(document: Document) -> Preparation:
    """Read a preparation card; what is left out is not told."""
    members: dict[str, Any] = dict.fromkeys(Preparation.__slots__)
    return Preparation(**{**members, **document})


def crew_from(document: Document) -> CrewTime:
    """Read the hours of the crew; plans of earlier versions have no gains."""
    lists = {
        "assumptions": tuple(document["assumptions"]),
        "gains": tuple(CrewGain(**gain) for gain in document.get("gains", ())),
    }
    return CrewTime(**{"fits_window": None, **document, **lists})


def site_from(document: Document) -> SiteFit:
    """Read whether it fits the place; plans of earlier versions say nothing of the depth and of what would fit."""
    return SiteFit(
        fits=document["fits"],
        coils=tuple(Coil(**each) for each in document["coils"]),
        notes=tuple(document["notes"]),
        depth_used_mm=document.get("depth_used_mm"),
        lid_closes=document.get("lid_closes"),
        slack_fits=tuple(SlackRoom(**each) for each in document.get("slack_fits", ())),
    )
