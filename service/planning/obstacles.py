"""Why a closure's trays do not take the work: limits relaxed one at a time, and what the answer then needs.

Each limit named here was shown to bind by solving the same problem without it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.domain.plan import Reason
from service.planning.demand import Demand
from service.planning.packing.problem import Packing, Problem
from service.planning.relaxing import lowest, solve, without_labels, without_stack, without_storage, without_tray_count
from service.planning.wording import proof_in_words


def packing_reasons(demand: Demand, packing: Packing) -> list[Reason]:
    """The limits that bind where a problem has no packing (or where none was found within the node limit)."""
    problem = demand.problem
    assert problem is not None
    if packing.fits is None:
        text = (
            f"it is not known whether the trays take the splices: in {packing.nodes} search steps no packing was "
            "found, and none was ruled out"
        )
        return [Reason("undecided", packing.nodes, packing.nodes, "search steps", text)]
    reasons = []
    tall = solve(lowest(without_stack(problem)))
    many = solve(without_tray_count(problem))
    if tall.fits:
        reasons.append(_stack_reason(demand, problem, tall))
    if many.fits:
        reasons.append(_count_reason(demand, problem, many))
    if not reasons:
        free = solve(without_stack(without_tray_count(problem)))
        if not free.fits:
            return _piecewise_reasons(demand, problem) or [_as_shown(demand, problem, packing)]
        low = solve(lowest(without_stack(without_tray_count(problem))))
        reasons = [_stack_reason(demand, problem, low if low.fits else free), _count_reason(demand, problem, free)]
        reasons = [reason for reason in reasons if reason.need > reason.have]
    reasons.extend(_also_binding(demand, problem))
    return reasons or [_as_shown(demand, problem, packing)]


def _height(demand: Demand, problem: Problem, packing: Packing) -> int:
    hanging = sum(problem.kinds[tray.kind].pitch for tray in problem.hanging)
    new = sum(problem.kinds[tray.kind].pitch for tray in packing.trays if tray.hanging is None)
    later = sum(problem.kinds[kind].pitch for kind in packing.later)
    return hanging + new + later


def _stack_reason(demand: Demand, problem: Problem, packing: Packing) -> Reason:
    have = problem.stack / demand.mm
    need = _height(demand, problem, packing) / demand.mm
    count = len(packing.trays) + len(packing.later)
    stand = f"{count} tray stands" if count == 1 else f"{count} trays stand"
    # The height was made least as a price; where that is not proven, fewer millimetres might do.
    proven = packing.bounds is not None and packing.bounds.cost == packing.bounds.cost_bound
    least = "" if proven else ", the lowest that were found"
    text = f"{stand} {need:g} mm high{_kept(problem)}{least}; the stack of {demand.closure.code} is {have:g} mm"
    return Reason("stack", need, have, "mm", text)


def _count_reason(demand: Demand, problem: Problem, packing: Packing) -> Reason:
    need = [0] * len(problem.kinds)
    for tray in packing.trays:
        need[tray.kind] += 1
    for kind in packing.later:
        need[kind] += 1
    over = [k for k in range(len(need)) if need[k] > problem.kinds[k].most]
    parts = ", ".join(f"{need[k]} of {demand.trays[k].code} (at most {problem.kinds[k].most})" for k in over)
    return Reason(
        "tray_count",
        sum(need[k] for k in over),
        sum(problem.kinds[k].most for k in over),
        "trays",
        f"the splices{_kept(problem)} need {parts}",
    )


def _kept(problem: Problem) -> str:
    return " with the reserve" if any(problem.reserve) else ""


def _also_binding(demand: Demand, problem: Problem) -> list[Reason]:
    """Keep-apart, split rule and storage, where giving up one of them alone would make it fit.

    The first two are told as trays, and only where more are needed than there is room for; else the limits beside them
    tell the figures, and the remedies what would help.
    """
    reasons = []
    room = _most_trays(problem)
    if any(item.label is not None for item in problem.items) and solve(together := without_labels(problem)).fits:
        need = _trays_wanted(problem)
        less = _trays_wanted(together)
        text = f"kept apart they need {need} trays, and there is room for {room}; {less} would do mixed"
        if need > room:
            reasons.append(Reason("keep_apart", need, room, "trays", text))
    if problem.split != "free" and solve(divided := replace(problem, split="free")).fits:
        need = _trays_wanted(problem)
        less = _trays_wanted(divided)
        text = f"whole they need {need} trays, and there is room for {room}; {less} would do divided"
        if need > room:
            reasons.append(Reason("split", need, room, "trays", text))
    if _limited(problem) and solve(without_storage(problem)).fits:
        reasons.extend(_storage_reason(demand, problem))
    return reasons


def _most_trays(problem: Problem) -> int:
    """The most trays that go in: as many of the lowest as their number and the stack allow, then the next."""
    left, count = problem.stack, 0
    for pitch, most in sorted((kind.pitch, kind.most) for kind in problem.kinds):
        added = min(most, left // pitch)
        left -= added * pitch
        count += added
    return count


def _limited(problem: Problem) -> bool:
    return any(kind.storage is not None or kind.ribbons is not None for kind in problem.kinds)


def _trays_wanted(problem: Problem) -> int:
    packing = solve(without_stack(without_tray_count(replace(problem, minimise="trays"))))
    return len(packing.trays) if packing.fits else 0


def _storage_reason(demand: Demand, problem: Problem) -> list[Reason]:
    """The tray that would be filled most over its channel or entry, were there no such limit."""
    packing = solve(without_storage(problem))
    if not packing.fits:
        packing = solve(without_storage(without_stack(without_tray_count(problem))))
    worst: tuple[float, Reason] | None = None
    for tray in packing.trays:
        kind = problem.kinds[tray.kind]
        code = demand.trays[tray.kind].code
        used = sum(piece.count * (problem.items[piece.item].storage[tray.kind] or 0) for piece in tray.pieces)
        ribbons = sum(piece.count * problem.items[piece.item].ribbons for piece in tray.pieces)
        if tray.hanging is not None:
            used += problem.hanging[tray.hanging].storage_used
            ribbons += problem.hanging[tray.hanging].ribbons_used
        if kind.storage and used > kind.storage:
            need, have = round(used / 1e6, 1), round(kind.storage / 1e6, 1)
            text = f"the stored turns in a tray {code} take {need:g} mm² of its channel, which has {have:g} mm²"
            worst = _worse(worst, used / kind.storage, Reason("storage", need, have, "mm2", text))
        if kind.ribbons is not None and ribbons > kind.ribbons:
            text = f"{ribbons} ribbon ends would enter a tray {code}, which lets {kind.ribbons} in"
            over = Reason("storage", ribbons, kind.ribbons, "ribbons", text)
            worst = _worse(worst, ribbons / max(kind.ribbons, 1), over)
    return [] if worst is None else [worst[1]]


def _worse(worst: tuple[float, Reason] | None, ratio: float, reason: Reason) -> tuple[float, Reason]:
    return worst if worst is not None and worst[0] >= ratio else (ratio, reason)


def _piecewise_reasons(demand: Demand, problem: Problem) -> list[Reason]:
    """No number of trays helps: a bundle that no tray takes whole, or a channel that takes not even one splice."""
    roomy = without_stack(without_tray_count(problem))
    reasons = []
    if solve(without_storage(roomy)).fits:
        reasons.extend(_storage_reason(demand, problem))
    if problem.split == "never" and solve(replace(roomy, split="free")).fits:
        reasons.extend(_split_reason(problem))
    return reasons or (_split_reason(problem) if problem.split == "never" else [])


def _split_reason(problem: Problem) -> list[Reason]:
    """The bundle that is furthest beyond what any tray takes, where one is."""
    sizes = [(item.size, largest_in_a_tray(problem, i)) for i, item in enumerate(problem.items) if not item.loose]
    size, best = max(sizes, key=lambda pair: pair[0] - pair[1], default=(0, 0))
    if size <= best:
        return []
    text = f"a bundle of {size} splices must stay whole and the largest tray takes {best} of it"
    return [Reason("split", size, best, "slots", text)]


def _as_shown(demand: Demand, problem: Problem, packing: Packing) -> Reason:
    """Where no single limit was shown to be the one: what the core ruled all packings out by."""
    shown = proof_in_words(packing.method, demand.slot_kinds, [tray.code for tray in demand.trays])
    have = problem.stack / demand.mm
    for each in packing.evidence:
        if each.needed is not None and each.most is not None:
            text = f"the trays that the stack takes do not give enough ({shown})"
            return Reason("stack", each.needed, each.most, "in units of that measure", text)
    low = min((kind.pitch for kind in problem.kinds), default=0) / demand.mm
    return Reason("stack", have + low, have, "mm", f"no choice of trays within the stack holds everything ({shown})")


def largest_in_a_tray(problem: Problem, number: int) -> int:
    """The most splices of an item that one empty tray takes."""
    item = problem.items[number]
    best = 0
    for k, kind in enumerate(problem.kinds):
        share = item.storage[k]
        if share is None:
            continue
        takes: list[int] = [sum(bank[item.slot_kind] for bank in kind.banks) if item.slots else item.size]
        if kind.storage is not None and share:
            takes.append(kind.storage // share)
        if kind.ribbons is not None and item.ribbons:
            takes.append(kind.ribbons // item.ribbons)
        best = max(best, min(takes))
    return best


def headline(reasons: Sequence[Reason]) -> str:
    """The reasons in one line."""
    return "; ".join(reason.text for reason in reasons)
