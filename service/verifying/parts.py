"""The largest part that fits: what is in it and what is left over come to the whole, bundle by bundle."""

from __future__ import annotations

import re

from service.verifying.members import Malformed, Member
from service.verifying.report import Findings

_JOINT = re.compile(r"/joints/(0|[1-9][0-9]*)")
_RANGES = re.compile(r"[1-9][0-9]{0,8}(-[1-9][0-9]{0,8})?(,[1-9][0-9]{0,8}(-[1-9][0-9]{0,8})?)*")


def check_part(plan: Member, part: Member, findings: Findings) -> int:
    """Check one part; returns its splices."""
    total, bundles = plan["splices"].whole(), plan["bundles"].whole()
    splices, at_most = part["splices"].whole(), part["at_most"].whole()
    out = list(part["cables_left_out"].each())
    findings.expect(splices < total or bool(out), f"{part.pointer}/splices", "all of it would fit")
    findings.expect(splices <= at_most <= total, f"{part.pointer}/at_most", "is below splices, or above all of them")
    findings.expect(
        part["proven"].flag() == (splices == at_most), f"{part.pointer}/proven", "is not what at_most comes to"
    )
    named, rests, wholes, last = set[str](), 0, 0, 0
    for left in part["left_over"].each():
        rest, of, number = left["splices"].whole(1), left["of"].whole(1), left["bundle"].whole(1)
        findings.expect(rest <= of, f"{left.pointer}/splices", "is more than the bundle has")
        findings.expect(last < number <= bundles, f"{left.pointer}/bundle", "is out of turn, or no bundle of the plan")
        rests, wholes, last = rests + rest, wholes + of, number
        if not _JOINT.fullmatch(left["joint"].text()):
            raise Malformed(f"{left.pointer}/joint", "is no pointer to a joint")
        counts = {_count(left[side], rest, findings) for side in ("from", "to")}
        findings.expect(len(counts) == 1, left.pointer, "its two sides are not of one kind")
        if rest == of:
            named.update(left[side]["cable"].text() for side in ("from", "to"))
    findings.expect(
        splices + rests == total, f"{part.pointer}/left_over", f"with what is in the part it comes to {splices + rests}"
    )
    findings.expect(wholes <= total, f"{part.pointer}/left_over", "its bundles have more splices than there are")
    # A cable of which nothing is spliced can stay out as well.
    named.update(lanes["cable"].text() for lanes in plan["lanes"].each() if lanes["spliced"].whole() == 0)
    for tag in out:
        findings.expect(tag.text() in named, tag.pointer, "no bundle of that cable is left over")
    closure, judged = plan.maybe("closure"), {each["closure"].text() for each in plan["alternatives"].each()}
    if closure is not None:
        judged = {closure["code"].text()}
    findings.expect(part["closure"].text() in judged, f"{part.pointer}/closure", "was not judged")
    return splices


def _count(side: Member, splices: int, findings: Findings) -> str:
    """Which kind of end a side names; a ribbon that is split has two splices."""
    kind = "ribbons" if side.has("ribbons") else "fibres"
    text = side[kind].text()
    if not _RANGES.fullmatch(text):
        raise Malformed(f"{side.pointer}/{kind}", "is no range of numbers")
    ends = 0
    for run in text.split(","):
        first, _, after = run.partition("-")
        ends += int(after or first) - int(first) + 1
    findings.expect(
        ends <= splices <= 2 * ends if kind == "ribbons" else ends == splices,
        f"{side.pointer}/{kind}",
        f"names {ends} for {splices} splices",
    )
    return kind
