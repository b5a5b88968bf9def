"""A plan that does not fit: its reasons, remedies and the parts that fit agree with one another and the rules."""

from __future__ import annotations

from service.verifying.members import Member
from service.verifying.parts import check_part
from service.verifying.ranked import check_remedies
from service.verifying.report import Findings

LIMITS = (
    "ports", "stack", "tray_count", "slot_kind", "storage", "bend", "express", "sleeve_length", "keep_apart", "split",
    "capacity", "entries", "undecided",
)  # fmt: skip


def check_refusal(plan: Member, findings: Findings) -> None:
    """What a plan says that has no packing."""
    for name in ("trays", "proof", "certificate"):
        findings.expect(not plan.has(name), f"/{name}", "the plan does not fit and has it")
    reasons = list(plan["reasons"].each())
    findings.expect(bool(reasons), "/reasons", "the plan does not fit and gives no reason")
    limits = [reason["limit"].one_of(*LIMITS) for reason in reasons]
    for reason, limit in zip(reasons, limits, strict=True):
        need, have = reason["need"].number(), reason["have"].number()
        if limit != "undecided":
            findings.expect(need > have, f"{reason.pointer}/need", f"there is as much: {have:g}")
    findings.checked.append("each reason needs more than there is")
    remedies = list(plan["remedies"].each())
    if "undecided" in limits:
        findings.expect(not remedies, "/remedies", "it is not known whether it fits")
        for name in ("largest_part", "largest_part_undivided"):
            findings.expect(not plan.has(name), f"/{name}", "it is not known whether it fits")
        return
    part = check_part(plan, plan["largest_part"], findings)
    if plan.has("largest_part_undivided"):
        undivided = check_part(plan, plan["largest_part_undivided"], findings)
        findings.expect(
            undivided < part, "/largest_part_undivided/splices", "is not less than where bundles are divided"
        )
    findings.checked.append("parts that fit and what is left over come to the whole")
    check_remedies(plan, remedies, part, findings)
    findings.checked.append("remedies are ranked, and ease what the rules ask")
    findings.notes.append("the plan does not fit: there is no packing to check")
    findings.notes.append("not judged: whether reasons, remedies and parts are true (plan them to see)")
