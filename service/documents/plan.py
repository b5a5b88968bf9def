"""A plan and a fit check as JSON-able documents, member names as published.

A figure that is not known is left out. Lengths (mm) and areas (mm²) have one decimal, losses (dB) six, hours two.
"""

from __future__ import annotations

from typing import Any

from service.documents.certificate import certificate_to
from service.documents.numbers import amount, maybe, plain, rounded
from service.documents.proof import proof_to
from service.documents.refusal import largest_part_to, remedy_to
from service.documents.request import rules_to
from service.documents.rework import recorded_to
from service.documents.supplies import crew_to, material_to, preparation_to, site_to, sleeve_to
from service.domain.catalogue import CURRENCY
from service.domain.plan import (
    Alternative,
    Bend,
    FitCheck,
    Headroom,
    PlacedSplice,
    Plan,
    PlannedTray,
    Reason,
    Slack,
)
from service.domain.splices import Lanes, RibbonEnd

Document = dict[str, Any]


def plan_to(plan: Plan) -> Document:
    """Write a plan as a document, without ``id`` and ``created``: those belong to a stored plan.

    A plan that does not fit has ``reasons`` and ``remedies`` in place of ``trays``.
    """
    document: Document = {
        "name": plan.name,
        "fits": plan.fits,
        "closure": _closure_to(plan),
        "rules": rules_to(plan.rules),
        "bundles": plan.bundles,
        "splices": plan.splices,
    }
    if plan.fits:
        document["trays"] = [_tray_to(tray) for tray in plan.trays]
    if plan.proof is not None:
        document["proof"] = proof_to(plan.proof)
    document["ports"] = [
        {"port": use.port, "cables": list(use.cables), "od_mm": [plain(od) for od in use.od_mm]} for use in plan.ports
    ]
    document["spare_ports"] = list(plan.spare_ports)
    document["slack"] = [_slack_to(slack) for slack in plan.slack]
    if plan.bend is not None:
        document["bend"] = _bend_to(plan.bend)
    document["reserve"] = [
        {"slot_kind": held.slot_kind, "free": held.free, "asked": held.asked, "later": held.later}
        for held in plan.reserve
    ]
    if plan.headroom is not None:
        document["headroom"] = [_headroom_to(room) for room in plan.headroom]
    if plan.recorded is not None:
        document["recorded"] = [recorded_to(rate) for rate in plan.recorded]
    document["sleeves"] = [sleeve_to(count) for count in plan.sleeves]
    document["materials"] = [material_to(line) for line in plan.materials]
    document["preparation"] = [preparation_to(card) for card in plan.preparation]
    document["lanes"] = [_lanes_to(lanes) for lanes in plan.lanes]
    if plan.crew is not None:
        document["crew"] = crew_to(plan.crew)
    if plan.site is not None:
        document["site"] = site_to(plan.site)
    document["alternatives"] = [alternative_to(alternative) for alternative in plan.alternatives]
    if not plan.fits:
        document["reasons"] = [reason_to(reason) for reason in plan.reasons]
        document["remedies"] = [remedy_to(remedy) for remedy in plan.remedies]
        if plan.largest_part is not None:
            document["largest_part"] = largest_part_to(plan.largest_part)
        if plan.largest_part_undivided is not None:
            document["largest_part_undivided"] = largest_part_to(plan.largest_part_undivided)
    document["notes"] = list(plan.notes)
    document["cautions"] = list(plan.cautions)
    document["revisions"] = dict(sorted((plan.revisions or {}).items()))
    if plan.certificate is not None:
        document["certificate"] = certificate_to(plan.certificate)
    return document


def fit_check_to(check: FitCheck) -> Document:
    """Write a fit check as a document."""
    return {
        "name": check.name,
        "fits": check.fits,
        "closure": check.closure,
        "bundles": check.bundles,
        "splices": check.splices,
        "candidates": [alternative_to(candidate) for candidate in check.candidates],
        "notes": list(check.notes),
        **({} if check.headroom is None else {"headroom": [_headroom_to(room) for room in check.headroom]}),
    }


def _headroom_to(room: Headroom) -> Document:
    return {
        "form": room.form,
        "fibres": room.fibres,
        "slot_kind": room.slot_kind,
        "more": room.more,
        "proven": room.proven,
    }


def alternative_to(alternative: Alternative) -> Document:
    """Write the verdict on one closure; trays, price and volume are left out where they are not known."""
    document: Document = {"closure": alternative.closure, "fits": alternative.fits}
    if alternative.trays is not None:
        document["trays"] = alternative.trays
    if alternative.price is not None:
        document["price"] = amount(alternative.price)
        document["currency"] = alternative.currency or CURRENCY
    if alternative.outer_dm3 is not None:
        document["outer_dm3"] = rounded(alternative.outer_dm3)
    document["reasons"] = [reason_to(reason) for reason in alternative.reasons]
    return document


def reason_to(reason: Reason) -> Document:
    """Write one limit that binds; need and have have three decimals, so that they still differ when written."""
    return {
        "limit": reason.limit,
        "need": rounded(reason.need, 3),
        "have": rounded(reason.have, 3),
        "unit": reason.unit,
        "text": reason.text,
    }


def _closure_to(plan: Plan) -> Document | None:
    if plan.closure is None:
        return None
    return {"code": plan.closure, "revision": (plan.revisions or {}).get(f"closures/{plan.closure}", 1)}


def _tray_to(tray: PlannedTray) -> Document:
    document: Document = {
        "position": tray.position,
        "tray": tray.tray,
        "new": tray.new,
        "banks": [
            {"bank": use.bank, "slot_kind": use.slot_kind, "slots": use.slots, "used": use.used} for use in tray.banks
        ],
        "splices": [_splice_to(splice) for splice in tray.splices],
        "parked": [
            {"cable": ends.cable, "tube": ends.tube, "ribbons": ends.ribbons, "fibres": ends.fibres}
            for ends in tray.parked
        ],
        "keep_apart": tray.keep_apart,
        "stored_turns": tray.stored_turns,
        "storage_used_mm2": rounded(tray.storage_used_mm2),
    }
    if tray.storage_mm2 is not None:
        document["storage_mm2"] = rounded(tray.storage_mm2)
    return document


def _splice_to(splice: PlacedSplice) -> Document:
    return {
        "bank": splice.bank,
        "slot": splice.slot,
        "from": end_to(splice.from_),
        "to": end_to(splice.to),
        "fibres": splice.fibres,
        "sleeve": splice.sleeve,
        "bundle": splice.bundle,
    }


def end_to(end: RibbonEnd) -> Document:
    """Write one end of a splice; what is not so is left out."""
    document: Document = {"cable": end.cable, "ribbon": end.ribbon}
    if end.fibre is not None:
        document["fibre"] = end.fibre
    if end.half is not None:
        document["half"] = end.half
    if end.end != "in":
        document["end"] = end.end
    return document


def _slack_to(slack: Slack) -> Document:
    document: Document = {
        "cable": slack.cable,
        "stored_mm": rounded(slack.stored_mm),
        "turns": slack.turns,
        "sheath_opening_mm": rounded(slack.sheath_opening_mm),
        "remakes_left": slack.remakes_left,
    }
    if slack.window_mm is not None:
        document["window_mm"] = rounded(slack.window_mm)
    if slack.slack_m is not None:
        document["slack_m"] = rounded(slack.slack_m, 3)
    return document


def _bend_to(bend: Bend) -> Document:
    document: Document = {
        "ok": bend.ok,
        "loss_db": {wavelength: rounded(loss, 6) for wavelength, loss in sorted(bend.loss_db.items())},
        "basis": bend.basis,
    }
    radii = {"radius_mm": maybe(bend.radius_mm), "required_mm": maybe(bend.required_mm)}
    return document | {name: value for name, value in radii.items() if value is not None}


def _lanes_to(lanes: Lanes) -> Document:
    return {
        "cable": lanes.cable,
        "spliced": lanes.spliced,
        "stored": lanes.stored,
        "express": lanes.express,
        "opened": list(lanes.opened),
        "express_tubes": lanes.express_tubes,
    }
