"""Reasons, remedies, the largest part that fits and other closures' verdicts, read back from a stored plan."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from service.domain.plan import Alternative, Reason
from service.domain.refusal import LargestPart, LeftOver, PortKit, Remedy

Document = Mapping[str, Any]


def reason_from(document: Document) -> Reason:
    """Read one limit that binds."""
    return Reason(**document)


def alternative_from(document: Document) -> Alternative:
    """Read the verdict on one closure."""
    members = {**document, "reasons": tuple(map(reason_from, document["reasons"]))}
    if "price" in members:
        members["price"] = Decimal(members["price"])
    return Alternative(**members)


def remedy_from(document: Document) -> Remedy:
    """Read one change that makes it fit."""
    members = dict(document)
    if "port" in members:
        kit = members.pop("port")
        members["kit"] = PortKit(**{**kit, "cables": tuple(kit["cables"])})
    if "cost" in members:
        members["cost"] = Decimal(members["cost"])
    return Remedy(**{**members, "names": tuple(members.get("names", ()))})


def largest_part_from(document: Document | None) -> LargestPart | None:
    """Read the most that fits; None stays None."""
    if document is None:
        return None
    return LargestPart(
        closure=document["closure"],
        splices=document["splices"],
        at_most=document["at_most"],
        proven=document["proven"],
        left_over=tuple(map(_left_over_from, document["left_over"])),
        cables=tuple(document["cables_left_out"]),
    )


def _left_over_from(document: Document) -> LeftOver:
    of = "ribbons" if "ribbons" in document["from"] else "fibres"
    return LeftOver(
        bundle=document["bundle"],
        joint=int(document["joint"].removeprefix("/joints/")),
        splices=document["splices"],
        of=document["of"],
        form="ribbon" if of == "ribbons" else "single",
        fibres=document["fibres"],
        keep_apart=document["keep_apart"],
        from_cable=document["from"]["cable"],
        from_tube=document["from"]["tube"],
        from_range=document["from"][of],
        to_cable=document["to"]["cable"],
        to_tube=document["to"]["tube"],
        to_range=document["to"][of],
    )
