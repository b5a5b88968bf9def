"""Certificates for tests: made from packing problems, so that brute force can tell what is true of them."""

from __future__ import annotations

from typing import Any

from service.planning.packing.problem import Problem
from service.verifying.facts import Facts, facts_from
from service.verifying.members import Member


def certificate_of(problem: Problem) -> dict[str, Any]:
    """A problem of the packing core as a certificate document; slot kinds are ``k0``, ``k1``, trays ``t0``, ``t1``."""

    def shares(storage: tuple[int | None, ...]) -> dict[str, int | None]:
        return {f"t{number}": share for number, share in enumerate(storage)}

    bundles = [item for item in problem.items if not item.loose]
    loose = [item for item in problem.items if item.loose]
    return {
        "units_per_mm": 1,
        "stack": problem.stack,
        "trays": [
            {
                "tray": f"t{number}",
                "pitch": kind.pitch,
                "most": kind.most,
                "price": kind.price,
                "banks": [{f"k{s}": slots for s, slots in enumerate(bank)} for bank in kind.banks],
                "storage_um2": kind.storage,
                "ribbons": kind.ribbons,
            }
            for number, kind in enumerate(problem.kinds)
        ],
        "ports": [],
        "cables": [],
        "sleeves": [
            {"sleeve": f"s{s}", "slot_kind": f"k{s}", "pack_of": 1, "rework": []} for s in range(problem.slot_kinds)
        ],
        "bundles": [
            {
                "bundle": number,
                "sleeve": f"s{item.slot_kind}",
                "slot_kind": f"k{item.slot_kind}",
                "fibres": 1,
                "splices": item.size,
                "keep_apart": None if item.label is None else f"l{item.label}",
                "ribbon_ends": item.ribbons,
                "storage_um2": shares(item.storage),
            }
            for number, item in enumerate(bundles, start=1)
        ],
        "parked": [
            {
                "cable": "A",
                "tube": number,
                "of": "ribbons",
                "count": item.size,
                "slot_kind": f"k{item.slot_kind}" if item.slots else None,
                "ribbon_ends": item.ribbons,
                "storage_um2": shares(item.storage),
            }
            for number, item in enumerate(loose, start=1)
        ],
        "hanging": [
            {
                "position": position,
                "tray": f"t{tray.kind}",
                "banks": [
                    {"bank": bank, "slot_kind": f"k{kind}", "used": used}
                    for bank, (kind, used) in enumerate(tray.banks, start=1)
                    if kind is not None
                ],
                "keep_apart": None if tray.label is None else f"l{tray.label}",
                "storage_um2": tray.storage_used,
                "ribbons": tray.ribbons_used,
            }
            for position, tray in enumerate(problem.hanging, start=1)
        ],
        "split": problem.split,
        "minimise": problem.minimise,
        "reserve": {"in": problem.reserve_in, "asked": {f"k{s}": slots for s, slots in enumerate(problem.reserve)}},
        "spare_trays": problem.spare_trays,
        "later": [],
    }


def facts_of(problem: Problem) -> Facts:
    """The same, read."""
    return facts_from(Member(certificate_of(problem), "/certificate"))
