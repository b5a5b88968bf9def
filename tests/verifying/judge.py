"""A second opinion on a changed plan: the packing as the core's tests judge it, slots and ends counted plainly."""

from __future__ import annotations

from collections import Counter
from typing import Any

from service.planning.packing.problem import (
    Bounds,
    HangingTray,
    Item,
    PackedTray,
    Packing,
    Piece,
    Problem,
    TrayKind,
)
from tests.planning.packing.check import faults


def problem_of(plan: dict[str, Any]) -> Problem:
    """The packing problem that a plan's certificate states."""
    facts = plan["certificate"]
    names = sorted({name for tray in facts["trays"] for bank in tray["banks"] for name in bank})
    codes = [tray["tray"] for tray in facts["trays"]]
    labels = sorted({x["keep_apart"] for x in facts["bundles"] + facts["hanging"] if x["keep_apart"] is not None})

    def label(word: str | None) -> int | None:
        return None if word is None else labels.index(word)

    items = [
        Item(
            names.index(bundle["slot_kind"]),
            bundle["splices"],
            tuple(bundle["storage_um2"][code] for code in codes),
            label(bundle["keep_apart"]),
            bundle["ribbon_ends"],
        )
        for bundle in facts["bundles"]
    ] + [
        Item(
            0 if ends["slot_kind"] is None else names.index(ends["slot_kind"]),
            ends["count"],
            tuple(ends["storage_um2"][code] for code in codes),
            None,
            ends["ribbon_ends"],
            0 if ends["slot_kind"] is None else 1,
            loose=True,
        )
        for ends in facts["parked"]
    ]
    hanging = []
    for tray in facts["hanging"]:
        kind = codes.index(tray["tray"])
        banks: list[tuple[int | None, int]] = [(None, 0)] * len(facts["trays"][kind]["banks"])
        for bank in tray["banks"]:
            banks[bank["bank"] - 1] = (names.index(bank["slot_kind"]), bank["used"])
        hanging.append(HangingTray(kind, tuple(banks), label(tray["keep_apart"]), tray["storage_um2"], tray["ribbons"]))
    return Problem(
        len(names),
        tuple(
            TrayKind(
                tray["pitch"],
                tray["most"],
                tuple(tuple(bank.get(name, 0) for name in names) for bank in tray["banks"]),
                tray["price"],
                tray["storage_um2"],
                tray["ribbons"],
            )
            for tray in facts["trays"]
        ),
        facts["stack"],
        tuple(items),
        facts["split"],
        facts["minimise"],
        tuple(facts["reserve"]["asked"].get(name, 0) for name in names),
        facts["reserve"]["in"],
        facts["spare_trays"],
        tuple(hanging),
    )


def packing_of(plan: dict[str, Any], problem: Problem) -> Packing:
    """The packing that a plan shows, with the bounds of its proof."""
    facts, proof = plan["certificate"], plan["proof"]
    names = sorted({name for tray in facts["trays"] for bank in tray["banks"] for name in bank})
    codes = [tray["tray"] for tray in facts["trays"]]
    left = [ends["count"] for ends in facts["parked"]]
    trays = []
    for number, tray in enumerate(plan["trays"]):
        counts = Counter(splice["bundle"] - 1 for splice in tray["splices"])
        for ends in tray["parked"]:
            for of in ("ribbons", "fibres"):
                count = ends[of]
                for place, asked in enumerate(facts["parked"]):
                    same = (asked["cable"], asked["tube"], asked["of"]) == (ends["cable"], ends["tube"], of)
                    some = min(count, left[place]) if same else 0
                    if some:
                        counts[len(facts["bundles"]) + place] += some
                        left[place], count = left[place] - some, count - some
                assert count == 0, "more ends are parked than are to be"
        trays.append(
            PackedTray(
                codes.index(tray["tray"]),
                number if number < len(facts["hanging"]) else None,
                tuple(None if bank["slot_kind"] is None else names.index(bank["slot_kind"]) for bank in tray["banks"]),
                tuple(Piece(item, count) for item, count in sorted(counts.items())),
            )
        )
    by_price = facts["minimise"] == "price"
    bounds = Bounds(
        round(float(proof["cost"]) * 100) if by_price else proof["trays"],
        round(float(proof["cost_lower_bound"]) * 100) if by_price else proof["lower_bound"],
        round(proof["stack_mm"] * facts["units_per_mm"]),
        round(proof["stack_lower_bound_mm"] * facts["units_per_mm"]),
        proof["opened"],
        proof["opened_lower_bound"],
        proof["pieces"],
        proof["pieces_lower_bound"],
    )
    return Packing(True, tuple(trays), tuple(codes.index(code) for code in facts["later"]), bounds)


def broken_rules(plan: dict[str, Any]) -> list[str]:
    """Rules that a plan breaks by its certificate; empty where it breaks none."""
    problem = problem_of(plan)
    wrong = faults(problem, packing_of(plan, problem))
    ends: Counter[tuple[Any, ...]] = Counter()
    for number, tray in enumerate(plan["trays"]):
        found = plan["certificate"]["hanging"][number]["banks"] if number < len(plan["certificate"]["hanging"]) else []
        taken = {bank["bank"]: bank["used"] for bank in found}
        places = [(splice["bank"], splice["slot"]) for splice in tray["splices"]]
        if len(places) != len(set(places)):
            wrong.append("two splices in one slot")
        for bank, slot in places:
            if not taken.get(bank, 0) < slot <= tray["banks"][bank - 1]["slots"]:
                wrong.append("a slot that the bank does not give")
        for splice in tray["splices"]:
            for end in (splice["from"], splice["to"]):
                ends[end["cable"], end["ribbon"], end.get("fibre"), end.get("half"), end.get("end", "in")] += 1
    return wrong + ["an end used twice" for count in ends.values() if count > 1]
