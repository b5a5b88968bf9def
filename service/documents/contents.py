"""What is in a hung closure as a JSON-able document, and back; nothing is rounded, as visits are planned from it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.documents.plan import end_to
from service.documents.plan_reading import end_from
from service.documents.ranges import format_ranges, parse_ranges
from service.domain.installation import Contents, HungBank, HungCable, HungTray, LaidSplice
from service.domain.plan import ParkedEnds

Document = dict[str, Any]


def contents_to(contents: Contents) -> Document:
    """Write contents whole."""
    return {
        "closure": contents.closure,
        "cables": [cable_to(cable) for cable in contents.cables],
        "trays": [tray_to(tray) for tray in contents.trays],
        "splices": [splice_to(splice) for splice in contents.splices],
        "splices_laid": contents.splices_laid,
        "visits": contents.visits,
    }


def contents_from(document: Mapping[str, Any]) -> Contents:
    """Read what ``contents_to`` wrote."""
    return Contents(
        closure=document["closure"],
        cables=tuple(map(_cable_from, document["cables"])),
        trays=tuple(map(_tray_from, document["trays"])),
        splices=tuple(map(splice_from, document["splices"])),
        splices_laid=document["splices_laid"],
        visits=document["visits"],
    )


def cable_to(cable: HungCable) -> Document:
    """Write a cable; ``cut`` is left out where nothing is cut."""
    document: Document = {
        "tag": cable.tag,
        "cable": cable.cable,
        "express": cable.express,
        "ports": list(cable.ports),
    }
    if cable.cut:
        document["cut"] = format_ranges(cable.cut)
    if cable.slack_m is not None:
        document["slack_m"] = cable.slack_m
    if cable.window_mm is not None:
        document["window_mm"] = cable.window_mm
    return {**document, "abandoned": cable.abandoned, "visit": cable.visit}


def _cable_from(document: Mapping[str, Any]) -> HungCable:
    return HungCable(
        tag=document["tag"],
        cable=document["cable"],
        express=document["express"],
        ports=tuple(document["ports"]),
        cut=parse_ranges(document["cut"]) if "cut" in document else (),
        visit=document["visit"],
        slack_m=document.get("slack_m"),
        abandoned=document["abandoned"],
        window_mm=document.get("window_mm"),
    )


def tray_to(tray: HungTray) -> Document:
    """Write a tray without its splices; ``storage_mm2`` is left out where the catalogue did not say."""
    document: Document = {
        "position": tray.position,
        "tray": tray.tray,
        "banks": [_bank_to(bank) for bank in tray.banks],
        "keep_apart": tray.keep_apart,
        "storage_used_mm2": tray.storage_used_mm2,
    }
    if tray.storage_mm2 is not None:
        document["storage_mm2"] = tray.storage_mm2
    document["ribbons"] = tray.ribbons
    document["parked"] = [{name: getattr(ends, name) for name in ParkedEnds.__slots__} for ends in tray.parked]
    return {**document, "visit": tray.visit}


def _bank_to(bank: HungBank) -> Document:
    document: Document = {"bank": bank.bank, "slot_kind": bank.slot_kind, "slots": bank.slots}
    return {**document, "parked": list(bank.parked)} if bank.parked else document


def _bank_from(document: Mapping[str, Any]) -> HungBank:
    return HungBank(**{**document, "parked": tuple(document.get("parked", ()))})


def _tray_from(document: Mapping[str, Any]) -> HungTray:
    return HungTray(
        position=document["position"],
        tray=document["tray"],
        banks=tuple(map(_bank_from, document["banks"])),
        keep_apart=document["keep_apart"],
        storage_used_mm2=document["storage_used_mm2"],
        storage_mm2=document.get("storage_mm2"),
        ribbons=document["ribbons"],
        parked=tuple(ParkedEnds(**ends) for ends in document["parked"]),
        visit=document["visit"],
    )


def splice_to(splice: LaidSplice) -> Document:
    """Write a splice with its slot."""
    return {
        "number": splice.number,
        "position": splice.position,
        "bank": splice.bank,
        "slot": splice.slot,
        "from": end_to(splice.from_),
        "to": end_to(splice.to),
        "fibres": splice.fibres,
        "sleeve": splice.sleeve,
        "visit": splice.visit,
        "storage_mm2": list(splice.storage_mm2),
    }


def splice_from(document: Mapping[str, Any]) -> LaidSplice:
    """Read a splice that ``splice_to`` wrote."""
    members = {name: value for name, value in document.items() if name not in ("from", "to", "storage_mm2")}
    from_share, to_share = document["storage_mm2"]
    return LaidSplice(
        from_=end_from(document["from"]), to=end_from(document["to"]), storage_mm2=(from_share, to_share), **members
    )
