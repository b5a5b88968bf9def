"""What the proof says of each bound: the figures that show it, held against the certificate."""

from __future__ import annotations

from dataclasses import replace

from service.verifying.claims import Claims
from service.verifying.facts import Facts
from service.verifying.members import Malformed, Member
from service.verifying.report import Findings
from service.verifying.vessels import Vessel, most_in_one, room_above, vessels

OBJECTIVES = ("cost", "height", "opened", "pieces")
SHOWN_BY = (
    "trivial", "slots", "all_slots", "storage", "entries", "whole_splices", "whole_bundles",
    "dual_feasible_function", "labels",
    "fillings", "lowest_trays", "uncut", "measure", "together", "exhausted",
)  # fmt: skip
COUNTED = (
    "slots", "all_slots", "storage", "entries", "whole_splices", "whole_bundles", "dual_feasible_function", "fillings",
    "measure",
)  # fmt: skip
"""What shows a bound by a need that trays which do better do not meet."""


def check_bounds(plan: Member, facts: Facts, claims: Claims, findings: Findings) -> Claims:
    """One entry a value, in their order, with the values and bounds of the proof, and figures that show what they say.

    Returns the claims with the bound on the height as it is told here: exactly.
    """
    proof = plan["proof"]
    entries = list(proof["bounds"].each())
    if len(entries) != len(OBJECTIVES):
        raise Malformed("/proof/bounds", f"has not {len(OBJECTIVES)} entries")
    values = (claims.cost, claims.height, claims.opened, claims.pieces)
    for entry, name, value in zip(entries, OBJECTIVES, values, strict=True):
        findings.expect(entry["objective"].one_of(*OBJECTIVES) == name, f"{entry.pointer}/objective", f"is not {name}")
        findings.expect(entry["value"].whole() == value, f"{entry.pointer}/value", f"the plan has {value}")
        findings.expect(entry["lower_bound"].whole() <= value, f"{entry.pointer}/lower_bound", "is above value")
        _check_figures(entry, name, facts, claims, findings)
    told = [entry["lower_bound"].whole() for entry in entries]
    for entry, bound, claimed in zip(entries, told, (claims.cost_bound, None, claims.opened_bound, claims.pieces_bound),
                                     strict=True):  # fmt: skip
        if claimed is not None:
            findings.expect(bound == claimed, f"{entry.pointer}/lower_bound", "is not the bound of the proof")
    height = told[1] / facts.units_per_mm
    findings.expect(
        abs(proof["stack_lower_bound_mm"].number() - height) <= 0.05 + 1e-9,
        "/proof/bounds/1/lower_bound",
        "is not the stack_lower_bound_mm of the proof",
    )
    findings.expect(
        claims.optimal == (told == list(values)), "/proof/optimal", "is not what the bounds come to: all values met"
    )
    solver = [entry["solver_used"].flag() for entry in entries]
    findings.expect(
        proof["solver_used"].flag() == any(solver), "/proof/solver_used", "is not what the bounds say of it"
    )
    findings.checked.append("what the proof says shows each bound, against the certificate")
    return replace(claims, height_bound=told[1])


def _check_figures(entry: Member, name: str, facts: Facts, claims: Claims, findings: Findings) -> None:
    shown, bound = entry["shown_by"].one_of(*SHOWN_BY), entry["lower_bound"].whole()
    need, most = entry.maybe("need"), entry.maybe("most_with_less")
    counted = shown in COUNTED or (shown == "labels" and need is not None)
    findings.expect(counted == (need is not None), f"{entry.pointer}/need", f"goes not with {shown}")
    findings.expect(counted == (most is not None), f"{entry.pointer}/most_with_less", f"goes not with {shown}")
    findings.expect((shown == "slots") <= entry.has("slot_kind"), f"{entry.pointer}/slot_kind", "is missing")
    for figure in ("function", "parameter"):
        told = entry.has(figure)
        wanted = shown == "dual_feasible_function"
        # A weighing by such a function can also count what labels leave idle.
        findings.expect(told >= wanted and (wanted or shown == "labels" or not told), f"{entry.pointer}/{figure}",
                        f"goes not with {shown}")  # fmt: skip
    if need is not None and most is not None:
        findings.expect(
            most.whole() < need.whole(), f"{entry.pointer}/need", "trays that do better give it: that shows nothing"
        )
    if shown == "trivial":
        findings.expect(bound == 0, f"{entry.pointer}/shown_by", "the bound is not 0")
    elif shown == "slots":
        _check_slots(entry, name, facts, claims.cost, bound, findings)
    elif shown == "uncut":
        findings.expect(name == "pieces", f"{entry.pointer}/shown_by", "is about pieces")
        least = sum(-(-load.size // (most_in_one(facts, load) or 1)) for load in facts.bundles)
        findings.expect(bound == least, f"{entry.pointer}/lower_bound", f"bundles cut as little as can be are {least}")
    elif shown == "lowest_trays":
        findings.expect(name == "height", f"{entry.pointer}/shown_by", "is about height")
        least = _lowest(facts, claims.cost)
        findings.expect(bound == least, f"{entry.pointer}/lower_bound", f"so many of the lowest stand {least} high")


def _check_slots(entry: Member, name: str, facts: Facts, cost: int, bound: int, findings: Findings) -> None:
    """Slots of a kind: what is needed of them, and no less than so many of one tray give within less.

    A lower stack does better at the same cost only, so trays that cost more do not count against a height.
    """
    kind = entry["slot_kind"].text()
    hanging, new = vessels(facts)
    need = sum(load.size for load in facts.loads if load.slot_kind == kind)
    need += facts.reserve.get(kind, 0) if facts.reserve_in == "trays" else 0
    need -= sum(vessel.slots_of(kind) for vessel in hanging)
    findings.expect(entry["need"].whole() == need, f"{entry.pointer}/need", f"{need} slots of {kind} are needed")
    if name in ("cost", "height"):
        room, _ = room_above(facts)
        limits = (bound - 1, room) if name == "cost" else (cost, min(bound - 1, room))
        given = max((_given(facts, vessel, kind, *limits) for vessel in new.values()), default=0)
        findings.expect(
            entry["most_with_less"].whole() >= given, f"{entry.pointer}/most_with_less", f"{given} could be given"
        )


def _given(facts: Facts, vessel: Vessel, kind: str, cost: int, height: int) -> int:
    """Slots of a kind that as many trays of one model give as stay within a cost and a height."""
    model = facts.models[vessel.model]
    _, left = room_above(facts)
    count = left[vessel.model]
    for each, most in ((1 if facts.minimise == "trays" else model.price or 0, cost), (model.pitch, height)):
        count = min(count, most // each) if each else count
    return max(count, 0) * vessel.slots_of(kind)


def _lowest(facts: Facts, trays: int) -> int:
    """The height of so many of the lowest trays that can be added."""
    _, left = room_above(facts)
    height = 0
    for model in sorted(facts.models.values(), key=lambda model: model.pitch):
        some = min(trays, max(left[model.code], 0))
        height += some * model.pitch
        trays -= some
    return height
