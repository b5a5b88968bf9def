"""A plan that was changed by hand is found out, at the place that was changed."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from service.verifying import verify
from tests.verifying.plans import rich_plan

Plan = dict[str, Any]
Change = Callable[[Plan], None]


def splice(plan: Plan, tray: int, place: int) -> dict[str, Any]:
    """A splice of the plan."""
    found: dict[str, Any] = plan["trays"][tray]["splices"][place]
    return found


def put(*path: str | int, value: Any) -> Change:
    """Another value at a path."""

    def change(plan: Plan) -> None:
        at: Any = plan
        for part in path[:-1]:
            at = at[part]
        at[path[-1]] = value

    return change


def add(*path: str | int, more: float) -> Change:
    """More, or less, of a figure."""

    def change(plan: Plan) -> None:
        at: Any = plan
        for part in path[:-1]:
            at = at[part]
        at[path[-1]] += more

    return change


def same_slot_twice(plan: Plan) -> None:
    splice(plan, 2, 1).update(bank=1, slot=splice(plan, 2, 0)["slot"])


def lost_splice(plan: Plan) -> None:
    plan["trays"][2]["splices"].pop()


def lost_splice_with_its_counts(plan: Plan) -> None:
    plan["trays"][2]["splices"].pop()
    plan["trays"][2]["banks"][1]["used"] -= 1
    plan["reserve"][0]["free"] += 1


def doubled_splice(plan: Plan) -> None:
    plan["trays"][3]["splices"].append({**splice(plan, 3, 0), "slot": 5})
    plan["trays"][3]["banks"][0]["used"] += 1
    plan["reserve"][0]["free"] -= 1


def other_label_moved_in(plan: Plan) -> None:
    moved = plan["trays"][2]["splices"].pop(0)
    plan["trays"][0]["splices"].append(moved)


def labels_swapped(plan: Plan) -> None:
    """The two splices of rail change places with two of lease: only the labels tell."""
    lease, rail = plan["trays"][0]["splices"], plan["trays"][2]["splices"]
    for place in (0, 1):
        one, other = lease[place], rail[place]
        one["bank"], one["slot"], other["bank"], other["slot"] = other["bank"], other["slot"], one["bank"], one["slot"]
        lease[place], rail[place] = other, one


def bundle_torn_apart(plan: Plan) -> None:
    """One splice of the bundle of two in the hanging tray moves to a free slot of a new tray without a label."""
    moved = next(s for s in plan["trays"][0]["splices"] if s["bundle"] == 2)
    plan["trays"][0]["splices"].remove(moved)
    plan["trays"][3]["splices"].append({**moved, "bank": 1, "slot": 5})


def ribbon_used_twice(plan: Plan) -> None:
    splice(plan, 3, 1)["from"] = dict(splice(plan, 3, 0)["from"])


def half_used_twice(plan: Plan) -> None:
    halves = [s for tray in plan["trays"] for s in tray["splices"] if "half" in s["from"]]
    halves[1]["from"]["half"] = halves[0]["from"]["half"]


def whole_beside_its_half(plan: Plan) -> None:
    halves = [s for tray in plan["trays"] for s in tray["splices"] if "half" in s["from"]]
    del halves[0]["from"]["half"]


def fibre_in_another_ribbon(plan: Plan) -> None:
    single = next(s for tray in plan["trays"] for s in tray["splices"] if "fibre" in s["from"])
    single["from"]["ribbon"] += 1


def end_of_a_cable_that_ends_here(plan: Plan) -> None:
    splice(plan, 3, 0)["from"]["end"] = "out"


def ribbon_of_another_tube(plan: Plan) -> None:
    splice(plan, 3, 0)["from"]["ribbon"] = 24


def bank_in_use_changed(plan: Plan) -> None:
    plan["trays"][0]["banks"][0].update(slot_kind="single", slots=12)


def bank_of_new_tray_changed(plan: Plan) -> None:
    plan["trays"][3]["banks"][1].update(slot_kind="ribbon-12", slots=6)


def parked_twice(plan: Plan) -> None:
    plan["trays"][3]["parked"].append(dict(plan["trays"][0]["parked"][0]))


def parked_nowhere(plan: Plan) -> None:
    plan["trays"][0]["parked"].pop(0)


def tray_taken_off(plan: Plan) -> None:
    plan["trays"].pop()


def hanging_tray_taken_off(plan: Plan) -> None:
    plan["trays"].pop(1)
    for position, tray in enumerate(plan["trays"], start=1):
        tray["position"] = position


def two_cables_in_a_port_for_one(plan: Plan) -> None:
    plan["ports"][0]["cables"].append("C")
    plan["ports"][0]["od_mm"].append(18)
    del plan["ports"][1]


def express_cable_enters_once(plan: Plan) -> None:
    use = next(use for use in plan["ports"] if use["cables"] == ["B"])
    plan["ports"].remove(use)
    plan["spare_ports"].append(use["port"])


def cable_too_thick(plan: Plan) -> None:
    """E, of 9 mm, changes places with B in a port from 10 mm on."""
    thin = next(use for use in plan["ports"] if use["cables"] == ["E"])
    thick = next(use for use in plan["ports"] if use["cables"] == ["B"])
    thin["port"], thick["port"] = thick["port"], thin["port"]


def one_spare_fewer(plan: Plan) -> None:
    plan["sleeves"][0]["spares"] -= 1
    plan["sleeves"][0]["quantity"] -= 1


def one_spare_more(plan: Plan) -> None:
    plan["sleeves"][0]["spares"] += 1
    plan["sleeves"][0]["quantity"] += 1


def tray_line_left_out(plan: Plan) -> None:
    plan["materials"] = [line for line in plan["materials"] if line["kind"] != "tray"]


def tray_line_priced_too_low(plan: Plan) -> None:
    next(line for line in plan["materials"] if line["kind"] == "tray")["price"] = "69.99"


def reserve_eaten_up(plan: Plan) -> None:
    """Two more slots of each figure's worth are said to be used."""
    plan["trays"][3]["banks"][0]["used"] += 2
    plan["reserve"][0]["free"] -= 2


def reserve_rounded_down(plan: Plan) -> None:
    plan["reserve"][0]["asked"] = plan["certificate"]["reserve"]["asked"]["ribbon-12"] = 4


def bound_left_out(plan: Plan) -> None:
    plan["proof"]["bounds"].pop()


def cost_by_slots(plan: Plan) -> dict[str, Any]:
    """The entry of the cost, as if shown by the slots for twelves: 17 are needed, and one tray of twelve is less."""
    entry: dict[str, Any] = plan["proof"]["bounds"][0]
    for figure in ("function", "parameter", "trays", "nodes"):
        entry.pop(figure, None)
    entry.update(shown_by="slots", slot_kind="ribbon-12", need=slots_needed(plan), most_with_less=12)
    return entry


def slots_needed(plan: Plan) -> int:
    """Slots for twelves that splices and reserve need beyond the free ones of the hanging trays."""
    facts = plan["certificate"]
    need = sum(bundle["splices"] for bundle in facts["bundles"] if bundle["slot_kind"] == "ribbon-12")
    # The first hanging tray has four of its twelve slots in use, the second none for twelves.
    return int(need + facts["reserve"]["asked"]["ribbon-12"] - 8)


def need_that_is_met(plan: Plan) -> None:
    entry = cost_by_slots(plan)
    entry["most_with_less"] = entry["need"]


def need_of_slots_too_large(plan: Plan) -> None:
    cost_by_slots(plan)["need"] += 1


def less_gives_less(plan: Plan) -> None:
    cost_by_slots(plan)["most_with_less"] = 5


CASES: list[tuple[Change, str]] = [
    (same_slot_twice, "/trays/2/splices/1/slot"),
    (put("trays", 2, "splices", 0, "slot", value=7), "/trays/2/splices/0/slot"),
    (put("trays", 2, "splices", 0, "slot", value=0), "/trays/2/splices/0/slot"),
    (put("trays", 0, "splices", 0, "slot", value=4), "/trays/0/splices/0/slot"),
    (put("trays", 2, "splices", 0, "bank", value=3), "/trays/2/splices/0/bank"),
    (put("trays", 3, "splices", 0, "bank", value=2), "/trays/3/splices/0/bank"),
    (put("trays", 2, "splices", 0, "bundle", value=4), "/trays/2/splices"),
    (put("trays", 2, "splices", 0, "bundle", value=99), "/trays/2/splices/0/bundle"),
    (put("trays", 2, "splices", 0, "sleeve", value="rs-24"), "/trays/2/splices/0/sleeve"),
    (put("trays", 2, "splices", 0, "fibres", value=24), "/trays/2/splices/0/fibres"),
    (put("trays", 2, "splices", 0, "from", "cable", value="Z"), "/trays/2/splices/0/from/cable"),
    (lost_splice, "/certificate/bundles/9"),
    (lost_splice_with_its_counts, "/certificate/bundles/9"),
    (doubled_splice, "/trays/3/splices/10/from"),
    (other_label_moved_in, "/trays/0/splices/8"),
    (labels_swapped, "/trays/0/splices/0/bundle"),
    (bundle_torn_apart, "/trays/3/splices/10/bundle"),
    (ribbon_used_twice, "/trays/3/splices/1/from"),
    (half_used_twice, "/trays/3/splices/1/from"),
    (whole_beside_its_half, "/trays/3/splices/1/from"),
    (fibre_in_another_ribbon, "/trays/3/splices/4/from"),
    (end_of_a_cable_that_ends_here, "/trays/3/splices/0/from"),
    (ribbon_of_another_tube, "/trays/3/splices"),
    (bank_in_use_changed, "/trays/0/banks/0/slot_kind"),
    (bank_of_new_tray_changed, "/trays/3/splices/4/bank"),
    (put("trays", 2, "banks", 0, "slots", value=8), "/trays/2/banks/0/slots"),
    (put("trays", 2, "banks", 1, "used", value=4), "/trays/2/banks"),
    (put("trays", 2, "banks", 1, "used", value=2), "/trays/2/banks/1/used"),
    (put("trays", 1, "banks", 0, "used", value=20), "/trays/1/banks/0/used"),
    (parked_twice, "/certificate/parked/0"),
    (parked_nowhere, "/certificate/parked/0"),
    (put("trays", 0, "parked", 0, "tube", value=3), "/trays/0/parked/0"),
    (put("trays", 0, "keep_apart", value="rail"), "/trays/0/keep_apart"),
    (put("trays", 3, "keep_apart", value="lease"), "/trays/3/keep_apart"),
    (add("trays", 2, "storage_used_mm2", more=-1), "/trays/2/storage_used_mm2"),
    (add("trays", 2, "storage_mm2", more=50), "/trays/2/storage_mm2"),
    (put("trays", 3, "tray", value="s24"), "/trays/3/banks"),
    (put("trays", 3, "tray", value="r6"), "/trays/3/tray"),
    (put("trays", 0, "new", value=True), "/trays/0/new"),
    (put("trays", 2, "position", value=4), "/trays/2/position"),
    (tray_taken_off, "/certificate/bundles/10"),
    (hanging_tray_taken_off, "/trays/1"),
    (put("certificate", "trays", 0, "most", value=2), "/trays"),
    (put("certificate", "stack", value=62), "/trays"),
    (put("certificate", "stack", value=65), "/certificate/later"),
    (put("certificate", "later", value=[]), "/certificate/later"),
    (put("certificate", "trays", 0, "storage_um2", value=10**8), "/trays/0/splices"),
    (put("certificate", "trays", 0, "ribbons", value=30), "/trays/0/splices"),
    (put("certificate", "bundles", 2, "storage_um2", "r12", value=None), "/trays/2/splices/0"),
    (put("certificate", "bundles", 3, "keep_apart", value="lease"), "/trays/2/splices"),
    (put("certificate", "spare_trays", value=2), "/certificate/spare_trays"),
    (put("certificate", "split", value="free"), "/certificate/split"),
    (put("certificate", "minimise", value="price"), "/certificate/minimise"),
    (put("certificate", "hanging", 0, "banks", 0, "used", value=5), "/trays/0/splices/0/slot"),
    (put("certificate", "cables", 1, "express", value=False), "/trays/2/splices/0/to/end"),
    (put("rules", "spare_trays", value=2), "/certificate/spare_trays"),
    (put("rules", "spare_entries", value=2), "/spare_ports"),
    (put("rules", "reserve", value={"percent": 30, "in": "trays"}), "/certificate/reserve/asked"),
    (put("rules", "confidence", value=0.99), "/sleeves/0"),
    (put("rules", "rework", value=0.1), "/certificate/sleeves/0/rework"),
    (reserve_eaten_up, "/trays/3/banks"),
    (reserve_rounded_down, "/certificate/reserve/asked"),
    (add("reserve", 0, "free", more=1), "/reserve/0/free"),
    (add("reserve", 1, "later", more=1), "/reserve/1/later"),
    (put("reserve", value=[]), "/reserve"),
    (two_cables_in_a_port_for_one, "/ports/0/cables"),
    (express_cable_enters_once, "/ports"),
    (cable_too_thick, "/ports/2"),
    (put("ports", 0, "port", value="left-5"), "/ports/0/port"),
    (put("ports", 0, "od_mm", value=[17]), "/ports/0/od_mm"),
    (put("spare_ports", value=[]), "/spare_ports"),
    (one_spare_fewer, "/sleeves/0/spares"),
    (one_spare_more, "/sleeves/0/spares"),
    (add("sleeves", 0, "quantity", more=1), "/sleeves/0/quantity"),
    (add("sleeves", 0, "packs", more=-1), "/sleeves/0/packs"),
    (tray_line_left_out, "/materials"),
    (tray_line_priced_too_low, "/materials/0/price"),
    (add("materials", 0, "quantity", more=1), "/materials/0/quantity"),
    (add("lanes", 0, "spliced", more=12), "/lanes/0/spliced"),
    (add("lanes", 1, "express", more=-1), "/lanes/1/express"),
    (put("lanes", 0, "opened", value=[1]), "/lanes/0/opened"),
    (add("splices", more=1), "/splices"),
    (add("bundles", more=-1), "/bundles"),
    (put("fits", value=False), "/trays"),
    (add("closure", "revision", more=1), "/closure/revision"),
    (add("proof", "trays", more=-1), "/proof/trays"),
    (add("proof", "lower_bound", more=1), "/proof/lower_bound"),
    (add("proof", "lower_bound", more=-1), "/proof/optimal"),
    (add("proof", "stack_mm", more=-9), "/proof/stack_mm"),
    (add("proof", "stack_lower_bound_mm", more=9), "/proof/stack_lower_bound_mm"),
    (add("proof", "opened", more=-1), "/proof/opened"),
    (add("proof", "opened_lower_bound", more=1), "/proof/opened_lower_bound"),
    (add("proof", "pieces", more=-1), "/proof/pieces"),
    (add("proof", "pieces_lower_bound", more=1), "/proof/pieces_lower_bound"),
    (add("proof", "pieces_lower_bound", more=-1), "/proof/optimal"),
    (put("proof", "optimal", value=False), "/proof/optimal"),
    (put("proof", "cost", value="70.00"), "/proof/cost"),
    (add("proof", "bounds", 0, "value", more=-1), "/proof/bounds/0/value"),
    (add("proof", "bounds", 0, "lower_bound", more=1), "/proof/bounds/0/lower_bound"),
    (add("proof", "bounds", 0, "lower_bound", more=-1), "/proof/bounds/0/lower_bound"),
    (add("proof", "bounds", 1, "lower_bound", more=-1), "/proof/bounds/1/lower_bound"),
    (add("proof", "bounds", 2, "lower_bound", more=-1), "/proof/bounds/2/lower_bound"),
    (add("proof", "bounds", 3, "lower_bound", more=-1), "/proof/bounds/3/lower_bound"),
    (put("proof", "bounds", 0, "objective", value="pieces"), "/proof/bounds/0/objective"),
    (put("proof", "bounds", 0, "shown_by", value="trivial"), "/proof/bounds/0/shown_by"),
    (put("proof", "bounds", 0, "shown_by", value="magic"), "/proof/bounds/0/shown_by"),
    (put("proof", "bounds", 1, "shown_by", value="uncut"), "/proof/bounds/1/shown_by"),
    (put("proof", "bounds", 3, "shown_by", value="slots"), "/proof/bounds/3/need"),
    (put("proof", "bounds", 3, "shown_by", value="lowest_trays"), "/proof/bounds/3/shown_by"),
    (put("proof", "bounds", 0, "solver_used", value=True), "/proof/solver_used"),
    (put("proof", "solver_used", value=True), "/proof/solver_used"),
    (need_that_is_met, "/proof/bounds/0/need"),
    (need_of_slots_too_large, "/proof/bounds/0/need"),
    (less_gives_less, "/proof/bounds/0/most_with_less"),
    (bound_left_out, "/proof/bounds"),
]


def test_figures_of_slots_that_are_right_are_no_breach() -> None:
    """What the cases about them start from."""
    plan = deepcopy(rich_plan())
    cost_by_slots(plan)
    assert verify(plan).breaches == ()


@pytest.mark.parametrize(
    ("change", "pointer"), CASES, ids=[f"{n}-{pointer[1:]}" for n, (_, pointer) in enumerate(CASES)]
)
def test_a_corrupted_plan_is_found_out(change: Change, pointer: str) -> None:
    """A breach stands at the place, or at the fact that it goes against, and nothing is called re-proved."""
    plan = deepcopy(rich_plan())
    change(plan)
    report = verify(plan)
    told = [breach.pointer for breach in report.breaches]
    assert any(each.startswith(pointer) for each in told), told
    assert report.bound != "re-proved"
