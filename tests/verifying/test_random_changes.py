"""A member of a plan changed at random: a breach is found, or the changed plan breaks no rule.

What the check does not judge is listed here member by member; of everything else a change that goes unnoticed must be
harmless in the eyes of a second judge (``judge.py``), which shares no code with the first.
"""

from __future__ import annotations

import re
from copy import deepcopy
from functools import cache
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.planning.packing import solve
from service.verifying import verify
from tests.verifying.judge import broken_rules, packing_of, problem_of
from tests.verifying.mutants import Path, doubled, members, other_values, parent_of, pattern_of, with_value, without
from tests.verifying.plans import demo_plans, rich_plan

NOT_JUDGED = (
    # Words and names.
    r"/(id|created|name|notes|cautions|alternatives)(/.*)?",
    r"/proof/(method|nodes)",
    r"/proof/bounds/\*/(text|nodes)",
    # Lengths, turns, bend, preparation, time, place: not of the packing.
    r"/(slack|bend|preparation|crew|site)(/.*)?",
    r"/trays/\*/stored_turns",
    # Rules that are used before the packing, and the rate of a whole ribbon where a plain rate stands in for it.
    r"/rules/(reach_mm|remakes|overlap_mm|storage_fill|storage_radius_mm|bend_allowance_db|rated_for_all)(/.*)?",
    r"/rules/(rework|rework_sleeve|rework_fibre)",
    # Revisions of entries, beyond that those of the certificate are named.
    r"/revisions/\*",
)
FACTS = r"/certificate/.*"
"""The facts are taken as given, so a change that leaves the plan within them is no breach."""
HARMLESS = (
    r"/trays/\*/splices/\*/slot",  # another free slot of the bank
    r"/trays/\*/splices/\*/bank",  # a bank whose other slots are taken by parked ends, which name no bank
    r"/trays/\*/splices/\*/(from|to)/(ribbon|fibre)",  # another end of the tube that is free: the request is not there
    r"/trays/\*/splices/\*/(from|to)/end",  # said or left out: in
    r"/trays/\*/storage_used_mm2",  # within the rounding
    r"/rules/reserve/percent",  # the same slots, rounded up
    r"/rules/spare_entries",  # more are spare than asked for
    r"/rules/keep",  # bundles that happen to keep to the other rule as well
    r"/trays/\*/parked(/\*)?(/(ribbons|fibres))?",
    # What a bound is said to be shown by, where that is a weighing of the planner's own, or a weaker figure that still
    # shows it; the bound itself is shown again.
    r"/proof/bounds/\*/(shown_by|need|most_with_less|function|parameter|slot_kind|trays(/\*)?|solver_used)",
)


@cache
def fitting() -> list[dict[str, Any]]:
    """The plans that are changed: the demo's, and the rich one often."""
    plans = [plan for plan in demo_plans() if plan["fits"]]
    return [*plans, *[rich_plan()] * 12]


def matches(path: Path, patterns: tuple[str, ...]) -> bool:
    """Whether a member's pattern is one of some."""
    return any(re.fullmatch(pattern, pattern_of(path)) for pattern in patterns)


def judged(plan: dict[str, Any], path: Path) -> bool:
    """Whether a change of a member is looked at: of the materials only figures of closure, trays and sleeves."""
    if path[0] == "materials" and len(path) > 1:
        line = plan["materials"][path[1]]
        figures = {"quantity", "packs", "material", "kind", *(["price"] if line["kind"] == "tray" else [])}
        return line["kind"] != "material" and (len(path) == 2 or path[2] in figures)
    return not matches(path, NOT_JUDGED)


@cache
def paths_of(number: int) -> dict[str, list[Path]]:
    """The judged members of a plan, by the member of the plan that they are in."""
    found: dict[str, list[Path]] = {}
    plan = fitting()[number]
    for path, _ in members(plan):
        if judged(plan, path):
            found.setdefault(str(path[0]), []).append(path)
    return found


@st.composite
def changed(draw: st.DrawFn) -> tuple[Path, dict[str, Any]]:
    """A plan with one judged member changed, left out or doubled, and the path to it."""
    number = draw(st.integers(0, len(fitting()) - 1))
    plan, paths = fitting()[number], paths_of(number)
    path = draw(st.sampled_from(paths[draw(st.sampled_from(sorted(paths)))]))
    value = parent_of(plan, path)[path[-1]]
    how = draw(st.sampled_from(["value", "value", "value", "without", "doubled"]))
    if how == "doubled" and isinstance(path[-1], int):
        return path, doubled(plan, path)
    if how == "without":
        return path, without(plan, path)
    return path, with_value(plan, path, draw(st.sampled_from(other_values(value))))


@given(changed())
@settings(max_examples=1500, deadline=None, suppress_health_check=list(HealthCheck))
def test_one_member_changed_is_found_out_or_breaks_no_rule(change: tuple[Any, dict[str, Any]]) -> None:
    """No breach: then the change is of a kind that can be harmless, and the second judge finds nothing either."""
    path, plan = change
    report = verify(plan)
    if report.breaches or any(plan == known for known in fitting()):
        return
    assert matches(path, (*HARMLESS, FACTS)), path
    assert broken_rules(plan) == []
    if report.bound == "re-proved":
        problem = problem_of(plan)
        best, claimed = solve(problem).bounds, packing_of(plan, problem).bounds
        assert best is not None and claimed is not None
        assert (best.cost, best.height) == (claimed.cost, claimed.height)
        if best.optimal:
            assert (best.opened, best.pieces) == (claimed.opened, claimed.pieces)


@st.composite
def rearranged(draw: st.DrawFn) -> dict[str, Any]:
    """A plan with two splices changed places, one moved to another tray or slot, or two trays' banks exchanged."""
    plan = deepcopy(draw(st.sampled_from(fitting())))
    trays = plan["trays"]
    full = [tray for tray in trays if tray["splices"]]
    one, other = draw(st.sampled_from(full)), draw(st.sampled_from(full))
    a = draw(st.integers(0, len(one["splices"]) - 1))
    b = draw(st.integers(0, len(other["splices"]) - 1))
    how = draw(st.sampled_from(["ends", "places", "move", "banks", "bundles"]))
    first, second = one["splices"][a], other["splices"][b]
    if how == "ends":
        first["from"], second["from"] = second["from"], first["from"]
    elif how == "places":
        one["splices"][a] = {**second, "bank": first["bank"], "slot": first["slot"]}
        other["splices"][b] = {**first, "bank": second["bank"], "slot": second["slot"]}
    elif how == "move":
        target = draw(st.sampled_from(trays))
        bank = draw(st.integers(1, len(target["banks"])))
        one["splices"].remove(first)
        one["banks"][first["bank"] - 1]["used"] -= 1
        target["banks"][bank - 1]["used"] += 1
        used = {splice["slot"] for splice in target["splices"] if splice["bank"] == bank}
        slot = next(n for n in range(1, 1000) if n not in used)
        target["splices"].append({**first, "bank": bank, "slot": slot})
    elif how == "banks":
        one["banks"], other["banks"] = other["banks"], one["banks"]
    else:
        first["bundle"], second["bundle"] = second["bundle"], first["bundle"]
    return plan


@given(rearranged())
@settings(max_examples=800, deadline=None, suppress_health_check=list(HealthCheck))
def test_splices_rearranged_are_found_out_or_break_no_rule(plan: dict[str, Any]) -> None:
    """Two splices that change ends, places or bundles, or one that moves: a breach, or the second judge agrees."""
    if not verify(plan).breaches:
        assert broken_rules(plan) == []


@given(rearranged())
@settings(max_examples=300, deadline=None, suppress_health_check=list(HealthCheck))
def test_what_the_second_judge_finds_the_check_finds(plan: dict[str, Any]) -> None:
    """Where the judge of the core's own tests sees a broken rule, the plan does not verify."""
    try:
        wrong = broken_rules(plan)
    except (IndexError, KeyError, ValueError, AssertionError):
        wrong = ["cannot be read as a packing"]
    if wrong:
        assert verify(plan).breaches
