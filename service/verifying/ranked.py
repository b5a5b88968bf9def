"""Remedies: each was tried, eases what the rules ask, and stands in its place by cost."""

from __future__ import annotations

from collections.abc import Sequence

from service.verifying.members import Malformed, Member
from service.verifying.report import Findings

CHANGES = (
    "reserve", "reach", "remakes", "split_ribbons", "split", "keep_apart", "sleeve", "tray_count", "stack",
    "tray_kind", "ports", "closure", "splices",
)  # fmt: skip
"""Least upheaval first."""

BUYS = ("sleeve", "tray_count", "stack", "tray_kind", "ports", "closure")


def check_remedies(plan: Member, remedies: Sequence[Member], part: int, findings: Findings) -> None:
    """``part``: how many splices the largest part has."""
    ranks = []
    first = next((each["currency"].text() for each in remedies if each.has("cost")), None)
    for remedy in remedies:
        change = remedy["change"].one_of(*CHANGES)
        findings.expect(remedy["verified"].flag(), f"{remedy.pointer}/verified", "a remedy that was not tried")
        buys = remedy["buys"].flag()
        findings.expect(buys == (change in BUYS), f"{remedy.pointer}/buys", f"goes not with {change}")
        cost = _cents(remedy["cost"]) if remedy.has("cost") else None
        findings.expect(buys or cost is None, f"{remedy.pointer}/cost", "nothing is bought")
        findings.expect(
            remedy.has("currency") == (cost is not None), f"{remedy.pointer}/currency", "goes not with the cost"
        )
        known = cost is not None and remedy["currency"].text() == first
        group = 3 if change == "splices" else 0 if not buys else 1 if known else 2
        ranks.append((group, (cost or 0) if known else 0, CHANGES.index(change)))
        _check_eased(plan, remedy, change, part, findings)
    findings.expect(ranks == sorted(ranks), "/remedies", "are not ranked by cost")
    findings.expect(
        any(rank[0] == 3 for rank in ranks) == (part > 0), "/remedies", "tell not of the largest part, or of none"
    )


def _check_eased(plan: Member, remedy: Member, change: str, part: int, findings: Findings) -> None:
    """What it is changed to, against the rules."""
    rules = plan["rules"]
    asked = {
        "reserve": lambda: rules["reserve"]["percent"].number(),
        "reach": lambda: rules["reach_mm"].number(),
        "remakes": lambda: rules["remakes"].number(),
    }
    if change in (*asked, "splices"):
        amount = remedy["amount"].whole()
        findings.expect(remedy["to"].text() == str(amount), f"{remedy.pointer}/to", f"is not the amount: {amount}")
        if change == "splices":
            findings.expect(amount == part, f"{remedy.pointer}/amount", "is not the largest part")
        else:
            findings.expect(amount < asked[change](), f"{remedy.pointer}/amount", "is no less than the rules ask")
    elif change == "split":
        findings.expect(rules["split"].text() != "free", f"{remedy.pointer}/change", "the rule lets them be divided")
        numbers = {name.text() for name in remedy["names"].each()}
        known = {str(number) for number in range(1, plan["bundles"].whole(0, 1_000_000) + 1)}
        findings.expect(bool(numbers) and numbers <= known, f"{remedy.pointer}/names", "names no bundles of the plan")
        findings.expect(remedy["amount"].whole() == len(numbers), f"{remedy.pointer}/amount", "is not how many")
    elif change == "keep_apart":
        labels = [name.text() for name in remedy["names"].each()]
        findings.expect(remedy["to"].text() == ", ".join(labels), f"{remedy.pointer}/to", "is not the labels")
        findings.expect(remedy["amount"].whole() == len(labels), f"{remedy.pointer}/amount", "is not how many")
    elif change == "ports":
        port = remedy["port"]
        entries = port["entries"].whole(1)
        findings.expect(remedy["amount"].whole() == entries, f"{remedy.pointer}/amount", "is not the kit's entries")
        findings.expect(
            port["od_min_mm"].number() <= port["od_max_mm"].number(), f"{port.pointer}/od_min_mm", "is above od_max_mm"
        )
    elif change in ("sleeve", "tray_count", "stack", "tray_kind"):
        remedy["amount"].whole(1)
        names = [name.text() for name in remedy["names"].each()]
        findings.expect(names[-1:] == [remedy["to"].text()], f"{remedy.pointer}/to", "is not what names say")


def _cents(member: Member) -> int:
    """Money in hundredths; below 0 where something is saved."""
    text = member.text()
    if text.startswith("-"):
        return -Member(text[1:], member.pointer).cents()
    if text == "":
        raise Malformed(member.pointer, "is not an amount of money")
    return member.cents()
