"""An answer of the core written as the parts of a plan that the verifier judges a packing by, and judged by it."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from typing import Any

from service.planning.packing import Packing, Problem
from service.verifying.bounds import reproved
from service.verifying.claims import Claims, check_claims
from service.verifying.dividing import check_division
from service.verifying.facts import facts_from
from service.verifying.filling import check_banks, check_limits, check_slots
from service.verifying.laid import trays_from
from service.verifying.members import Malformed, Member
from service.verifying.report import Findings
from service.verifying.stacking import check_stack
from tests.verifying.certificates import certificate_of


def document_of(problem: Problem, packing: Packing) -> dict[str, Any]:
    """Certificate, trays and proof; splices lie in slots from 1 up, ends are made up and not judged."""
    bounds = packing.bounds
    assert bounds is not None
    counted = [n for n, item in enumerate(problem.items) if not item.loose]
    parked = [n for n, item in enumerate(problem.items) if item.loose]
    certificate = certificate_of(problem) | {"later": [f"t{kind}" for kind in packing.later]}
    trays = []
    ordered = sorted(packing.trays, key=lambda tray: (tray.hanging is None, tray.hanging or 0))
    for position, tray in enumerate(ordered, start=1):
        found = None if tray.hanging is None else problem.hanging[tray.hanging]
        kind = problem.kinds[tray.kind]
        banks, places = [], []
        for number, (setting, gives) in enumerate(zip(tray.banks, kind.banks, strict=True)):
            # A bank that gives no slots of what it is set to counts as unset in a plan.
            setting = setting if setting is not None and gives[setting] else None
            taken = 0 if found is None or found.banks[number][0] is None else found.banks[number][1]
            slots = 0 if setting is None else gives[setting]
            banks.append({"bank": number + 1, "slot_kind": None if setting is None else f"k{setting}"}
                         | {"slots": slots, "used": taken})  # fmt: skip
            places += [(setting, number + 1, slot) for slot in range(taken + 1, slots + 1)]
        splices, ends = [], []
        labels = {problem.items[piece.item].label for piece in tray.pieces} - {None}
        labels |= set() if found is None or found.label is None else {found.label}
        stored = 0 if found is None else found.storage_used
        for piece in tray.pieces:
            item = problem.items[piece.item]
            stored += piece.count * (item.storage[tray.kind] or 0)
            for _ in range(piece.count * item.slots):
                place = next(place for place in places if place[0] == item.slot_kind)
                places.remove(place)
                banks[place[1] - 1]["used"] += 1
                if not item.loose:
                    end = {"cable": "A", "ribbon": 1}
                    splice = {"bank": place[1], "slot": place[2], "from": end, "to": end, "fibres": 1}
                    splice |= {"sleeve": f"s{item.slot_kind}", "bundle": counted.index(piece.item) + 1}
                    splices.append(splice)
            if item.loose:
                tube = parked.index(piece.item) + 1
                ends.append({"cable": "A", "tube": tube, "ribbons": piece.count, "fibres": 0})
        document = {"position": position, "tray": f"t{tray.kind}", "new": found is None, "banks": banks}
        document |= {"splices": splices, "parked": ends, "stored_turns": 0, "storage_used_mm2": stored / 10**6}
        document |= {"keep_apart": f"l{labels.pop()}" if labels else None}
        trays.append(document | ({} if kind.storage is None else {"storage_mm2": kind.storage / 10**6}))
    new = sum(1 for tray in packing.trays if tray.hanging is None)
    by_price = problem.minimise == "price"
    proof: dict[str, Any] = {
        "optimal": bounds.optimal,
        "trays": new,
        "lower_bound": min(new, 1) if by_price else bounds.cost_bound,
        "stack_mm": bounds.height,
        "stack_lower_bound_mm": bounds.height_bound,
        "opened": bounds.opened,
        "opened_lower_bound": bounds.opened_bound,
        "pieces": bounds.pieces,
        "pieces_lower_bound": bounds.pieces_bound,
    }
    if by_price:
        cost, least = f"{bounds.cost / 100:.2f}", f"{bounds.cost_bound / 100:.2f}"
        proof |= {"cost": cost, "cost_lower_bound": least}
    return {"trays": trays, "proof": proof, "certificate": certificate}


def verified(problem: Problem, packing: Packing) -> tuple[list[str], bool | None]:
    """(breaches, whether the bounds are shown again); the latter None where no optimum is claimed."""
    document = Member(json.loads(json.dumps(document_of(problem, packing))))
    findings = Findings()
    try:
        facts = facts_from(document["certificate"])
        trays = trays_from(document, facts)
        for check in (check_banks, check_slots, check_limits, check_division, check_stack):
            check(trays, facts, findings)
        claims = check_claims(document, trays, facts, findings)
    except Malformed as wrong:
        return [f"{wrong.pointer}: {wrong.text}"], None
    wrong = [f"{breach.pointer}: {breach.text}" for breach in findings.breaches]
    placed = Counter(splice.bundle for tray in trays for splice in tray.splices)
    wrong += [f"bundle {b.number} is not there whole" for b in facts.bundles if placed[b.number] != b.size]
    if not claims.optimal:
        return wrong, None
    shown, _ = reproved(facts, claims)
    for place, too_much in one_more(claims):
        _, rests_on = reproved(facts, too_much)
        if "rests on" not in rests_on[place]:
            wrong.append(f"the verifier shows a bound that is false: {too_much}, {rests_on[place]}")
    return wrong, shown


def one_more(claims: Claims) -> list[tuple[int, Claims]]:
    """Claims with one more in cost, height or pieces than is least, each with its place among what bounds rest on."""
    cost, height, pieces = claims.cost + 1, claims.height + 1, claims.pieces + 1
    return [
        (0, replace(claims, cost=cost, cost_bound=cost, height_bound=0)),
        (0, replace(claims, height=height, height_bound=height)),
        (2, replace(claims, pieces=pieces, pieces_bound=pieces)),
    ]


def could_be_asked_for(problem: Problem) -> bool:
    """Whether a request can ask for it: banks in use give what they are set to, and parked ends have no label."""
    return not any(item.loose and item.label is not None for item in problem.items) and all(
        setting is None or problem.kinds[tray.kind].banks[number][setting]
        for tray in problem.hanging
        for number, (setting, _) in enumerate(tray.banks)
    )
