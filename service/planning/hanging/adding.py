"""More work for a hung closure as a complete plan request, which can be stored and planned again by itself."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.domain.addition import AdditionRequest
from service.domain.catalogue import Catalogue
from service.domain.faults import Fault, Refused
from service.domain.installation import Contents
from service.domain.request import PlanRequest
from service.planning.hanging.standing import hanging_cables, hanging_trays
from service.planning.hanging.taking_out import trays_for
from service.planning.joints import SPLICES_MOST, work_of


def addition_request(
    contents: Contents, asked: AdditionRequest, catalogue: Catalogue, splices_most: int = SPLICES_MOST
) -> PlanRequest:
    """The plan request for an addition: the closure as it hangs, its cables first, then the new ones.

    Raises ``Refused`` with every fault, pointers into the addition; what is wrong with the closure as it hangs (an
    entry that the catalogue has no more, or has changed) points at the whole of it.
    """
    hung = hanging_cables(contents, catalogue)
    request = PlanRequest(
        cables=(*hung, *asked.cables),
        joints=asked.joints,
        name=asked.name,
        closures=(contents.closure,),
        rules=asked.rules,
        crew=asked.crew,
        site=asked.site,
        existing_trays=hanging_trays(contents),
        headroom=asked.headroom,
    )
    faults = [*_own_faults(contents, asked)]
    work = None
    try:
        work = work_of(request, catalogue, splices_most)
    except Refused as refusal:
        faults.extend(_pointed(fault, len(hung)) for fault in refusal.faults)
    if faults or work is None:
        raise Refused(dict.fromkeys(faults))
    cables = {at_point.tag: catalogue.cables[at_point.cable] for at_point in request.cables}
    return replace(request, existing_trays=trays_for(contents, work, cables))


def _own_faults(contents: Contents, asked: AdditionRequest) -> Iterator[Fault]:
    abandoned = {hung.tag for hung in contents.cables if hung.abandoned}
    for place, at_point in enumerate(asked.cables):
        if at_point.hanging is not None:
            yield Fault(f"/cables/{place}/hanging", "not_new", "an addition names new cables alone")
    for place, joint in enumerate(asked.joints):
        for member, side in (("from", joint.from_), ("to", joint.to)):
            if side.cable in abandoned:
                yield Fault(
                    f"/joints/{place}/{member}/cable", "abandoned", f"the cable {side.cable!r} was given up here"
                )


def _pointed(fault: Fault, hung: int) -> Fault:
    """The fault of the whole request with its pointer into the addition, whose cables are only the new ones."""
    parts = [*fault.pointer.split("/"), ""]
    if parts[1] == "cables" and parts[2]:
        place = int(parts[2]) - hung
        if place >= 0:
            return Fault("/".join(["", "cables", str(place), *parts[3:-1]]), fault.code, fault.detail)
    elif parts[1] in ("joints", "rules"):
        return fault
    return Fault("", fault.code, f"the closure as it hangs: {fault.detail}")
