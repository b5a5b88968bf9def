"""A plan request as a JSON-able document, and back.

A document is taken to be valid by the published schema, with whole numbers as ``int``.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.documents.numbers import plain
from service.documents.ranges import format_ranges, parse_ranges
from service.domain.request import (
    CableAtPoint,
    Crew,
    ExistingBank,
    ExistingTray,
    HangingCable,
    Joint,
    PlanRequest,
    Reserve,
    Rules,
    Side,
    Site,
)

Document = dict[str, Any]


def request_from(document: Mapping[str, Any]) -> PlanRequest:
    """Build the request from a schema-valid document."""
    joints = tuple(
        Joint(
            from_=_side(joint["from"]),
            to=_side(joint["to"]),
            keep_apart=joint.get("keep_apart"),
            split_ribbons=joint.get("split_ribbons", False),
        )
        for joint in document["joints"]
    )
    closures = tuple(document.get("closures", ()))
    existing = tuple(_existing_tray(tray) for tray in document.get("existing_trays", ()))
    return PlanRequest(
        cables=tuple(map(cable_from, document["cables"])),
        joints=joints,
        name=document.get("name", ""),
        closures=closures,
        rules=rules_from(document.get("rules", {})),
        crew=Crew(**document["crew"]) if "crew" in document else None,
        site=Site(**document["site"]) if "site" in document else None,
        existing_trays=existing,
        headroom=document.get("headroom", False),
    )


def rules_from(document: Mapping[str, Any]) -> Rules:
    """Build the rules from a schema-valid document; what it leaves out has its default."""
    members = dict(document)
    if "reserve" in members:
        reserve = members["reserve"]
        members["reserve"] = Reserve(percent=reserve.get("percent", 0.0), in_=reserve.get("in", "trays"))
    return Rules(**members)


def cable_from(document: Mapping[str, Any]) -> CableAtPoint:
    """Build a cable at the point from a schema-valid document."""
    members = dict(document)
    if "hanging" in members:
        hanging = members["hanging"]
        ranges = {name: parse_ranges(hanging[name]) for name in ("cut", "spliced", "spliced_out") if name in hanging}
        members["hanging"] = HangingCable(tuple(hanging["ports"]), window_mm=hanging.get("window_mm"), **ranges)
    return CableAtPoint(**members)


def _side(document: Mapping[str, Any]) -> Side:
    kind = "ribbons" if "ribbons" in document else "fibres"
    ranges = parse_ranges(document[kind])
    return Side(
        cable=document["cable"],
        ribbons=ranges if kind == "ribbons" else None,
        fibres=ranges if kind == "fibres" else None,
        end=document.get("end", "in"),
    )


def _existing_tray(document: Mapping[str, Any]) -> ExistingTray:
    members = dict(document)
    members["banks"] = tuple(map(_existing_bank, document.get("banks", ())))
    return ExistingTray(**members)


def _existing_bank(document: Mapping[str, Any]) -> ExistingBank:
    members = dict(document)
    if "taken" in members:
        members["taken"] = parse_ranges(members["taken"])
    return ExistingBank(**members)


def request_to(request: PlanRequest) -> Document:
    """Write a request as a document: what is unset is left out, and rules, crew and site are written whole."""
    document: Document = {"name": request.name} if request.name else {}
    if request.closures:
        document["closures"] = list(request.closures)
    document["cables"] = [_cable_to(cable) for cable in request.cables]
    document["joints"] = [_joint_to(joint) for joint in request.joints]
    document["rules"] = rules_to(request.rules)
    if request.crew is not None:
        document["crew"] = _without_none(request.crew)
    if request.site is not None:
        document["site"] = _without_none(request.site)
    if request.existing_trays:
        document["existing_trays"] = [_existing_tray_to(tray) for tray in request.existing_trays]
    if request.headroom:
        document["headroom"] = True
    return document


def rules_to(rules: Rules) -> Document:
    """Write the rules whole, defaults included; a rule that is not set is null."""
    document = {name: _written(getattr(rules, name)) for name in Rules.__slots__}
    document["reserve"] = {"percent": plain(rules.reserve.percent), "in": rules.reserve.in_}
    document["storage_radius_mm"] = {fibre: plain(radius) for fibre, radius in sorted(rules.storage_radius_mm.items())}
    return document


def _written(value: Any) -> Any:
    return plain(value) if isinstance(value, float) else value


def _without_none(thing: Crew | Site) -> Document:
    members = ((name, _written(getattr(thing, name))) for name in thing.__slots__)
    return {name: value for name, value in members if value is not None}


def _cable_to(cable: CableAtPoint) -> Document:
    document: Document = {"tag": cable.tag, "cable": cable.cable}
    if cable.slack_m is not None:
        document["slack_m"] = cable.slack_m
    if cable.express:
        document["express"] = True
    if cable.hanging is not None:
        document["hanging"] = _hanging_to(cable.hanging)
    return document


def _hanging_to(hanging: HangingCable) -> Document:
    document: Document = {"ports": list(hanging.ports)}
    for name in ("cut", "spliced", "spliced_out"):
        ranges = getattr(hanging, name)
        if ranges:
            document[name] = format_ranges(ranges)
    if hanging.window_mm is not None:
        document["window_mm"] = hanging.window_mm
    return document


def _joint_to(joint: Joint) -> Document:
    document: Document = {"from": _side_to(joint.from_), "to": _side_to(joint.to)}
    if joint.keep_apart is not None:
        document["keep_apart"] = joint.keep_apart
    if joint.split_ribbons:
        document["split_ribbons"] = True
    return document


def _side_to(side: Side) -> Document:
    document: Document = {"cable": side.cable}
    if side.ribbons is not None:
        document["ribbons"] = format_ranges(side.ribbons)
    if side.fibres is not None:
        document["fibres"] = format_ranges(side.fibres)
    if side.end != "in":
        document["end"] = side.end
    return document


def _existing_tray_to(tray: ExistingTray) -> Document:
    document: Document = {"tray": tray.tray}
    if tray.banks:
        document["banks"] = [_existing_bank_to(bank) for bank in tray.banks]
    if tray.keep_apart is not None:
        document["keep_apart"] = tray.keep_apart
    document["storage_used_mm2"] = tray.storage_used_mm2
    document["ribbons"] = tray.ribbons
    return document


def _existing_bank_to(bank: ExistingBank) -> Document:
    document: Document = {"bank": bank.bank, "slot_kind": bank.slot_kind, "used": bank.used}
    if bank.taken:
        document["taken"] = format_ranges(bank.taken)
    return document
