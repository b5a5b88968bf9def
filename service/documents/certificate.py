"""A plan's certificate as a JSON-able document, member names as published."""

from __future__ import annotations

from typing import Any

from service.documents.numbers import plain
from service.documents.ranges import format_ranges
from service.documents.rework import rework_to
from service.domain.certificate import CableFacts, Certificate, HangingFacts

Document = dict[str, Any]


def certificate_to(certificate: Certificate) -> Document:
    """Write a certificate; every figure as it was planned with, nothing rounded."""
    return {
        "units_per_mm": certificate.units_per_mm,
        "stack": certificate.stack,
        "trays": [
            {
                "tray": tray.tray,
                "pitch": tray.pitch,
                "most": tray.most,
                "price": tray.price,
                "banks": [dict(sorted(bank.items())) for bank in tray.banks],
                "storage_um2": tray.storage_um2,
                "ribbons": tray.ribbons,
            }
            for tray in certificate.trays
        ],
        "ports": [
            {
                "port": port.port,
                "count": port.count,
                "cables": port.cables,
                "od_min_mm": plain(port.od_min_mm),
                "od_max_mm": plain(port.od_max_mm),
            }
            for port in certificate.ports
        ],
        "cables": [_cable(cable) for cable in certificate.cables],
        "sleeves": [
            {
                "sleeve": sleeve.sleeve,
                "slot_kind": sleeve.slot_kind,
                "pack_of": sleeve.pack_of,
                "rework": [rework_to(splices, rework) for splices, rework in sleeve.rework],
            }
            for sleeve in certificate.sleeves
        ],
        "bundles": [
            {
                "bundle": bundle.bundle,
                "sleeve": bundle.sleeve,
                "slot_kind": bundle.slot_kind,
                "fibres": bundle.fibres,
                "splices": bundle.splices,
                "keep_apart": bundle.keep_apart,
                "ribbon_ends": bundle.ribbon_ends,
                "storage_um2": dict(bundle.storage_um2),
            }
            for bundle in certificate.bundles
        ],
        "parked": [
            {
                "cable": ends.cable,
                "tube": ends.tube,
                "of": ends.of,
                "count": ends.count,
                "slot_kind": ends.slot_kind,
                "ribbon_ends": ends.ribbon_ends,
                "storage_um2": dict(ends.storage_um2),
            }
            for ends in certificate.parked
        ],
        "hanging": [
            {
                "position": tray.position,
                "tray": tray.tray,
                "banks": [_bank(tray, *bank) for bank in tray.banks],
                "keep_apart": tray.keep_apart,
                "storage_um2": tray.storage_um2,
                "ribbons": tray.ribbons,
            }
            for tray in certificate.hanging
        ],
        "split": certificate.split,
        "minimise": certificate.minimise,
        "reserve": {"in": certificate.reserve_in, "asked": dict(sorted(certificate.reserve.items()))},
        "spare_trays": certificate.spare_trays,
        "later": list(certificate.later),
    }


def _cable(cable: CableFacts) -> Document:
    document: Document = {
        "cable": cable.cable,
        "od_mm": plain(cable.od_mm),
        "express": cable.express,
        "fibres": cable.fibres,
        "ribbon_fibres": cable.ribbon_fibres,
        "ribbons_per_tube": cable.ribbons_per_tube,
    }
    if cable.hanging is not None:
        document["hanging"] = {"ports": list(cable.hanging.ports)}
        for name in ("cut", "spliced", "spliced_out"):
            ranges = getattr(cable.hanging, name)
            if ranges:
                document["hanging"][name] = format_ranges(ranges)
    return document


def _bank(tray: HangingFacts, bank: int, slot_kind: str, used: int) -> Document:
    document: Document = {"bank": bank, "slot_kind": slot_kind, "used": used}
    if bank in tray.taken:
        document["taken"] = list(tray.taken[bank])
    return document
