"""A proof's bounds, value by value: the core's evidence in the words of the catalogue, with its figures as members."""

from __future__ import annotations

import re
from collections.abc import Sequence

from service.domain.proof import Objective, ProvenBound, ShownBy
from service.planning.packing import evidence as core
from service.planning.packing.problem import Bounds, Evidence
from service.planning.wording import proof_in_words

_FUNCTION = re.compile(r"dual feasible function (\w) with parameter (\d+)")
_KIND = re.compile(r"\bkind (\d+)$")
_TRAYS = re.compile(r"^trays of the kinds (\d+(?:, \d+)*) for the labels$")

_NAMED: dict[str, ShownBy] = {
    core.NOTHING: "trivial",
    core.LOWEST: "lowest_trays",
    core.WHOLE_PIECES: "uncut",
    core.LARGER: "uncut",
    core.TOGETHER: "together",
    core.SEARCHED: "exhausted",
    core.OPENED: "exhausted",
    core.CUTS: "exhausted",
    "storage": "storage",
    "ribbon ends": "entries",
    "whole splices that a channel takes": "whole_splices",
    "trays for the labels": "labels",
}


def bounds_told(
    bounds: Bounds, evidence: Sequence[Evidence], slot_kinds: Sequence[str], trays: Sequence[str]
) -> tuple[ProvenBound, ...]:
    """The four bounds of a packing that fits, in the order of the objectives.

    ``slot_kinds`` and ``trays`` are the codes behind the core's numbers.
    """
    by_value = {each.value: each for each in evidence}
    told = []
    values: tuple[tuple[Objective, int, int], ...] = (
        ("cost", bounds.cost, bounds.cost_bound),
        ("height", bounds.height, bounds.height_bound),
        ("opened", bounds.opened, bounds.opened_bound),
        ("pieces", bounds.pieces, bounds.pieces_bound),
    )
    for objective, value, bound in values:
        shown = by_value.get(objective)
        if shown is None:
            # Not looked into, since a value before it is not proven: what holds for any packing.
            shown = Evidence(objective, core.NOTHING if bound == 0 else core.WHOLE_PIECES)
        told.append(_told(objective, value, bound, shown, slot_kinds, trays))
    return tuple(told)


def _told(
    objective: Objective, value: int, bound: int, shown: Evidence, slot_kinds: Sequence[str], trays: Sequence[str]
) -> ProvenBound:
    name = shown.bound
    function, kind, counted = _FUNCTION.search(name), _KIND.search(name), _TRAYS.match(name)
    return ProvenBound(
        objective=objective,
        value=value,
        lower_bound=bound,
        shown_by=_shown_by(shown),
        text=proof_in_words(name, slot_kinds, trays),
        slot_kind=slot_kinds[int(kind[1])] if kind else None,
        function=function[1] if function else None,
        parameter=int(function[2]) if function else None,
        trays=tuple(trays[int(number)] for number in counted[1].split(", ")) if counted else (),
        need=shown.needed,
        most_with_less=shown.most,
        nodes=shown.nodes,
        solver_used=shown.solver,
    )


def _shown_by(shown: Evidence) -> ShownBy:
    name = shown.bound
    if name in _NAMED:
        return _NAMED[name]
    if "with what the labels leave idle" in name or _TRAYS.match(name):
        return "labels"
    if "fillings of whole trays" in name:
        return "fillings"
    if _FUNCTION.search(name):
        return "dual_feasible_function"
    if name.startswith("slots of kind "):
        return "slots"
    if name.startswith("slots of all kinds"):
        return "all_slots"
    if "whole bundles" in name:
        return "whole_bundles"
    if shown.needed is not None:
        return "measure"
    return "exhausted" if shown.nodes else "together"
