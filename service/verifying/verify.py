"""The whole check of one plan."""

from __future__ import annotations

from typing import Any

from service.verifying.agreeing import check_counts, check_rules
from service.verifying.bounds import reproved
from service.verifying.claims import check_claims
from service.verifying.dividing import check_division
from service.verifying.ends import check_ends, check_parked, check_splices
from service.verifying.entries import check_ports
from service.verifying.facts import facts_from
from service.verifying.filling import check_banks, check_limits, check_slots
from service.verifying.laid import trays_from
from service.verifying.lanes import check_lanes
from service.verifying.members import Malformed, Member
from service.verifying.refused import check_refusal
from service.verifying.report import Bound, Findings, Report
from service.verifying.shown import check_bounds
from service.verifying.stacking import check_reserve, check_stack
from service.verifying.supplies import check_materials, check_sleeves

NOT_JUDGED = (
    "whether the certificate's facts are those of the catalogue and the request (plan it again to see)",
    "lengths, turns, slack, bend, preparation, crew time and site",
    "which ribbon goes to which, beyond that none is used twice",
    "materials other than closure, trays and sleeves; prices other than those of trays",
    "the owner's rule that the closure's rated capacity covers all fibres",
    "other closures, notes and cautions; sentences beside figures, search steps counted, revisions named",
)
"""What a plan says and this check does not look at."""


def verify(plan: dict[str, Any]) -> Report:
    """Check a plan, as answered or stored, by itself.

    A plan that does not fit has no packing to check; that is told in ``notes``. Raises nothing: what cannot be read is
    a breach with its place.
    """
    findings = Findings()
    bound: Bound = "not claimed"
    rests_on: list[str] = []
    document = Member(plan)
    try:
        if not document["fits"].flag():
            check_refusal(document, findings)
            return Report(tuple(findings.breaches), tuple(findings.checked), bound, (), tuple(findings.notes))
        bound, rests_on = _checked(document, findings)
    except Malformed as wrong:
        findings.breach(wrong.pointer, wrong.text)
        bound, rests_on = _claimed(document), []
    if findings.breaches and bound == "re-proved":
        bound, rests_on = "not re-proved", []
    return Report(
        tuple(findings.breaches), tuple(findings.checked), bound, tuple(rests_on), (*findings.notes, *_unjudged())
    )


def _unjudged() -> tuple[str, ...]:
    return tuple(f"not judged: {each}" for each in NOT_JUDGED)


def _claimed(plan: Member) -> Bound:
    try:
        return "not re-proved" if plan["proof"]["optimal"].flag() else "not claimed"
    except Malformed:
        return "not claimed"


def _checked(plan: Member, findings: Findings) -> tuple[Bound, list[str]]:
    facts = facts_from(plan["certificate"], plan["rules"]["keep"].one_of("tube", "joint", "none"))
    trays = trays_from(plan, facts)
    check_rules(plan, facts, findings)
    check_counts(plan, facts, findings)
    check_splices(trays, facts, findings)
    taken = check_ends(trays, facts, findings)
    check_parked(trays, facts, findings)
    check_banks(trays, facts, findings)
    check_slots(trays, facts, findings)
    check_limits(trays, facts, findings)
    check_division(trays, facts, findings)
    check_stack(trays, facts, findings)
    check_reserve(plan, trays, facts, findings)
    check_ports(plan, facts, findings)
    check_lanes(plan, taken, facts, findings)
    check_sleeves(plan, facts, findings)
    check_materials(plan, trays, facts, findings)
    claims = check_claims(plan, trays, facts, findings)
    claims = check_bounds(plan, facts, claims, findings)
    if findings.breaches:
        return ("not re-proved" if claims.optimal else "not claimed"), []
    again, rests_on = reproved(facts, claims)
    if not claims.optimal:
        return "not claimed", rests_on
    return ("re-proved" if again else "not re-proved"), rests_on
