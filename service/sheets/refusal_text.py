"""Why it does not fit, what would make it fit, and how much of it does."""

from __future__ import annotations

from decimal import Decimal

from service.domain.plan import Plan
from service.domain.refusal import LargestPart, LeftOver, Remedy
from service.sheets.layout import bullets, counted, listed, paragraph


def reason_lines(plan: Plan) -> list[str]:
    """Every limit that binds with need and have."""
    return bullets(
        f"{reason.limit.replace('_', ' ')}: {reason.text} "
        f"(need {_figure(reason.need)}, have {_figure(reason.have)} {reason.unit})"
        for reason in plan.reasons
    )


def _figure(value: float) -> str:
    """A figure of a reason, exact enough that need and have still differ."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def remedy_lines(plan: Plan) -> list[str]:
    """Changes that make it fit, each with its cost and whether it was shown by solving again."""
    return bullets(f"{remedy.text.rstrip('.')}{_cost(remedy)} ({_verified(remedy)})" for remedy in plan.remedies)


def _verified(remedy: Remedy) -> str:
    if not remedy.verified:
        return "not solved again"
    return "solved again: that part fits" if remedy.change == "splices" else "solved again: it then fits"


def _cost(remedy: Remedy) -> str:
    if not remedy.buys:
        return ""
    if remedy.cost is None:
        return "; its cost is not known"
    what = "the closure" if remedy.change == "closure" else "material"
    if remedy.cost < Decimal(0):
        return f"; {what} costs {-remedy.cost:.2f} {remedy.currency} less"
    return f"; {what} costs {remedy.cost:.2f} {remedy.currency} more"


def part_lines(plan: Plan) -> list[str]:
    """The largest part that fits, and what is left over; then the same without dividing bundles."""
    if plan.largest_part is None:
        return []
    lines = _part(plan.largest_part, plan.splices, "")
    if plan.largest_part_undivided is not None:
        lines += _part(plan.largest_part_undivided, plan.splices, "Without dividing bundles: ")
    return lines


def _part(part: LargestPart, of: int, start: str) -> list[str]:
    if not part.splices:
        known = "None of it fits" if part.proven else "No part that fits was found"
        return paragraph(f"{start}{known} in closure {part.closure}.")
    known = "no part with more does" if part.proven else f"none with more than {part.at_most} does"
    text = f"{start}{part.splices} of {counted(of, 'splice')} fit in closure {part.closure}; {known}."
    if part.cables:
        text += f" Cable{'s' if len(part.cables) > 1 else ''} {listed(part.cables)} would stay out."
    return [*paragraph(text), *bullets(_left(left) for left in part.left_over)]


def _left(left: LeftOver) -> str:
    what = "ribbon" if left.form == "ribbon" else "fibre"
    some = "all" if left.splices == left.of else f"{left.splices}"
    plural = "" if left.from_range.isdecimal() else "s"
    label = f" ({left.keep_apart})" if left.keep_apart is not None else ""
    return (
        f"left over: bundle {left.bundle}{label}, {some} of its {counted(left.of, 'splice')}: {what}{plural} "
        f"{left.from_range} of {left.from_cable}{_tube(left.from_tube)} to {left.to_range} of {left.to_cable}"
        f"{_tube(left.to_tube)}"
    )


def _tube(tube: int) -> str:
    return f" tube {tube}" if tube else ""
