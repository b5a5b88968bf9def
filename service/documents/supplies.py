"""What a plan asks to be brought, and who does the work, as JSON-able documents."""

from __future__ import annotations

from typing import Any

from service.documents.numbers import amount, count, rounded
from service.domain.catalogue import CURRENCY
from service.domain.plan import CrewTime, MaterialLine, Preparation, SiteFit, SleeveCount

Document = dict[str, Any]


def sleeve_to(sleeve: SleeveCount) -> Document:
    """Write the sleeves to carry, with the rework rate and the confidence behind the spares."""
    return {
        "sleeve": sleeve.sleeve,
        "splices": sleeve.splices,
        "spares": sleeve.spares,
        "quantity": sleeve.quantity,
        "packs": sleeve.packs,
        "rework": rounded(sleeve.rework, 6),
        "confidence": rounded(sleeve.confidence, 6),
    }


def material_to(line: MaterialLine) -> Document:
    """Write one line of the material list; the price is of all its packs."""
    document: Document = {
        "kind": line.kind,
        "material": line.material,
        "title": line.title,
        "quantity": count(line.quantity),
        "included": count(line.included),
        "unit": line.unit,
        "packs": line.packs,
        "because": line.because,
    }
    if line.price is not None:
        document["price"] = amount(line.price)
        document["currency"] = line.currency or CURRENCY
    return document


def preparation_to(card: Preparation) -> Document:
    """Write the preparation card of one ribbon form; what the method does not say is left out."""
    document = {name: getattr(card, name) for name in Preparation.__slots__}
    return {
        name: rounded(value, 3) if isinstance(value, float) else value
        for name, value in document.items()
        if value is not None
    }


def crew_to(crew: CrewTime) -> Document:
    """Write the time that the work takes; ``fits_window`` is left out where no window was given."""
    document: Document = {
        "hours_median": rounded(crew.hours_median, 2),
        "hours_90": rounded(crew.hours_90, 2),
    }
    if crew.fits_window is not None:
        document["fits_window"] = crew.fits_window
    document["bottleneck"] = crew.bottleneck
    document["assumptions"] = list(crew.assumptions)
    return document


def site_to(site: SiteFit) -> Document:
    """Write whether closure and coils fit the place; ``fits`` is null where a figure is missing."""
    return {
        "fits": site.fits,
        "coils": [
            {
                "cable": coil.cable,
                "diameter_mm": rounded(coil.diameter_mm),
                "turns": coil.turns,
                "thickness_mm": rounded(coil.thickness_mm),
                "fits": coil.fits,
            }
            for coil in site.coils
        ],
        "notes": list(site.notes),
    }
