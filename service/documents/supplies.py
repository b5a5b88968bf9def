"""What a plan asks to be brought, and who does the work, as JSON-able documents."""

from __future__ import annotations

from typing import Any

from service.documents.numbers import amount, count, rounded
from service.domain.catalogue import CURRENCY
from service.domain.plan import Coil, CrewGain, CrewTime, MaterialLine, Preparation, SiteFit, SleeveCount

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
    """Write the time that the work takes; what a window decides is left out where no window was given."""
    document: Document = {
        "hours_median": rounded(crew.hours_median, 2),
        "hours_90": rounded(crew.hours_90, 2),
    }
    if crew.fits_window is not None:
        document["fits_window"] = crew.fits_window
    if crew.splices_in_window is not None:
        document["splices_in_window"] = crew.splices_in_window
    document["bottleneck"] = crew.bottleneck
    document["gains"] = [_gain_to(gain) for gain in crew.gains]
    document["assumptions"] = list(crew.assumptions)
    return document


def _gain_to(gain: CrewGain) -> Document:
    document: Document = {
        "add": gain.add,
        "hours_median": rounded(gain.hours_median, 2),
        "hours_90": rounded(gain.hours_90, 2),
        "saves_h": rounded(gain.saves_h, 2),
    }
    if gain.fits_window is not None:
        document["fits_window"] = gain.fits_window
    return document


def site_to(site: SiteFit) -> Document:
    """Write whether closure and coils fit the place; ``fits`` is null where a figure is missing.

    Slack that would fit has two decimals (m) and was rounded down already.
    """
    document: Document = {"fits": site.fits}
    if site.depth_used_mm is not None:
        document["depth_used_mm"] = rounded(site.depth_used_mm)
        document["lid_closes"] = site.lid_closes
    document["coils"] = [_coil_to(coil) for coil in site.coils]
    document["slack_fits"] = [
        {"cable": room.cable, "slack_fits_m": rounded(room.slack_fits_m, 2)} for room in site.slack_fits
    ]
    document["notes"] = list(site.notes)
    return document


def _coil_to(coil: Coil) -> Document:
    sizes = {
        "smallest_mm": coil.smallest_mm,
        "diameter_mm": coil.diameter_mm,
        "outer_mm": coil.outer_mm,
        "thickness_mm": coil.thickness_mm,
        "height_mm": coil.height_mm,
    }
    written = {name: rounded(size) for name, size in sizes.items() if size is not None}
    return {"cable": coil.cable, "turns": coil.turns, **written, "fits": coil.fits}
