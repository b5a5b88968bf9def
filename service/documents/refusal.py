"""Remedies and the largest part that fits as JSON-able documents, member names as published."""

from __future__ import annotations

from typing import Any

from service.documents.numbers import amount, plain
from service.domain.catalogue import CURRENCY
from service.domain.refusal import LargestPart, LeftOver, Remedy

Document = dict[str, Any]


def remedy_to(remedy: Remedy) -> Document:
    """Write one change that makes it fit; what it does not have is left out."""
    document: Document = {"change": remedy.change, "to": remedy.to, "verified": remedy.verified, "text": remedy.text}
    if remedy.names:
        document["names"] = list(remedy.names)
    if remedy.amount is not None:
        document["amount"] = remedy.amount
    if remedy.kit is not None:
        kit = remedy.kit
        document["port"] = {
            "entries": kit.entries,
            "od_min_mm": plain(kit.od_min_mm),
            "od_max_mm": plain(kit.od_max_mm),
            "cables": list(kit.cables),
        }
    document["buys"] = remedy.buys
    if remedy.cost is not None:
        document["cost"] = amount(remedy.cost)
        document["currency"] = remedy.currency or CURRENCY
    return document


def largest_part_to(part: LargestPart) -> Document:
    """Write the largest part that fits and what is left over."""
    return {
        "closure": part.closure,
        "splices": part.splices,
        "at_most": part.at_most,
        "proven": part.proven,
        "left_over": [_left_over_to(left) for left in part.left_over],
        "cables_left_out": list(part.cables),
    }


def _left_over_to(left: LeftOver) -> Document:
    what = "ribbons" if left.form == "ribbon" else "fibres"
    return {
        "bundle": left.bundle,
        "joint": f"/joints/{left.joint}",
        "splices": left.splices,
        "of": left.of,
        "fibres": left.fibres,
        "keep_apart": left.keep_apart,
        "from": {"cable": left.from_cable, "tube": left.from_tube, what: left.from_range},
        "to": {"cable": left.to_cable, "tube": left.to_tube, what: left.to_range},
    }
