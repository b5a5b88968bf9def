"""What a stored plan asks to be brought, and who does the work, read back into the domain."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.domain.plan import Coil, CrewTime, MaterialLine, Preparation, SiteFit, SleeveCount

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
    """Read the hours of the crew."""
    members = {"fits_window": None, **document, "assumptions": tuple(document["assumptions"])}
    return CrewTime(**members)


def site_from(document: Document) -> SiteFit:
    """Read whether it fits the place."""
    return SiteFit(document["fits"], tuple(Coil(**each) for each in document["coils"]), tuple(document["notes"]))
