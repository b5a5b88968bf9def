"""A stored plan's document read back into the domain, for sheets and pages.

The inverse of ``plan_to`` but for the certificate, which only the checker reads: ``plan_from`` leaves it out.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.documents.request import rules_from
from service.documents.rework import recorded_from
from service.documents.supplies_reading import crew_from, material_from, preparation_from, site_from, sleeve_from
from service.documents.verdict_reading import alternative_from, largest_part_from, reason_from, remedy_from
from service.domain.plan import (
    BankUse,
    Bend,
    Headroom,
    ParkedEnds,
    PlacedSplice,
    Plan,
    PlannedTray,
    PortUse,
    ReserveHeld,
    Slack,
)
from service.domain.proof import Proof, ProvenBound
from service.domain.splices import Lanes, RibbonEnd

Document = Mapping[str, Any]


def plan_from(document: Document) -> Plan:
    """Read a plan; ``id``, ``created`` and the certificate of a stored one are passed over."""
    closure = document["closure"]
    headroom, recorded = document.get("headroom"), document.get("recorded")
    return Plan(
        name=document["name"],
        fits=document["fits"],
        closure=closure["code"] if closure else None,
        rules=rules_from(document["rules"]),
        bundles=document["bundles"],
        splices=document["splices"],
        trays=tuple(map(_tray_from, document.get("trays", ()))),
        proof=_proof_from(document["proof"]) if "proof" in document else None,
        ports=tuple(PortUse(each["port"], tuple(each["cables"]), tuple(each["od_mm"])) for each in document["ports"]),
        spare_ports=tuple(document["spare_ports"]),
        slack=tuple(Slack(**each) for each in document["slack"]),
        bend=Bend(**document["bend"]) if "bend" in document else None,
        reserve=tuple(ReserveHeld(**each) for each in document["reserve"]),
        sleeves=tuple(map(sleeve_from, document["sleeves"])),
        materials=tuple(map(material_from, document["materials"])),
        preparation=tuple(map(preparation_from, document["preparation"])),
        lanes=tuple(Lanes(**{**each, "opened": tuple(each["opened"])}) for each in document["lanes"]),
        crew=crew_from(document["crew"]) if "crew" in document else None,
        site=site_from(document["site"]) if "site" in document else None,
        alternatives=tuple(map(alternative_from, document["alternatives"])),
        reasons=tuple(map(reason_from, document.get("reasons", ()))),
        remedies=tuple(map(remedy_from, document.get("remedies", ()))),
        largest_part=largest_part_from(document.get("largest_part")),
        largest_part_undivided=largest_part_from(document.get("largest_part_undivided")),
        notes=tuple(document["notes"]),
        cautions=tuple(document["cautions"]),
        revisions=document["revisions"],
        recorded=None if recorded is None else tuple(map(recorded_from, recorded)),
        headroom=None if headroom is None else tuple(Headroom(**each) for each in headroom),
    )


def end_from(document: Document) -> RibbonEnd:
    """Read one end of a splice."""
    return RibbonEnd(**document)


def _tray_from(document: Document) -> PlannedTray:
    return PlannedTray(
        position=document["position"],
        tray=document["tray"],
        new=document["new"],
        banks=tuple(BankUse(**each) for each in document["banks"]),
        splices=tuple(map(_splice_from, document["splices"])),
        parked=tuple(ParkedEnds(**each) for each in document["parked"]),
        keep_apart=document["keep_apart"],
        stored_turns=document["stored_turns"],
        storage_used_mm2=document["storage_used_mm2"],
        storage_mm2=document.get("storage_mm2"),
    )


def _splice_from(document: Document) -> PlacedSplice:
    members = {name: value for name, value in document.items() if name not in ("from", "to")}
    return PlacedSplice(from_=end_from(document["from"]), to=end_from(document["to"]), **members)


def _proof_from(document: Document) -> Proof:
    members = dict(document)
    bounds = [ProvenBound(**{**each, "trays": tuple(each.get("trays", ()))}) for each in members.pop("bounds")]
    for name in ("cost", "cost_lower_bound"):
        if name in members:
            members[name] = Decimal(members[name])
    return Proof(**members, bounds=tuple(bounds))
