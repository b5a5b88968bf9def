"""``verify``: check a plan by itself, by arithmetic that the planner has no part in."""

from __future__ import annotations

import argparse

from service.api.strict_json import MalformedJson, read_json
from service.cli.failures import CommandError, one_line
from service.cli.inputs import read_input
from service.cli.places import settings
from service.verifying import Report, verify

_BOUND = {
    "re-proved": "The plan's claim that nothing less would do is shown again, by arithmetic of this check's own:",
    "not re-proved": "The plan claims that nothing less would do. Part of that rests on the planner's own search:",
    "not claimed": "The plan does not claim that nothing less would do.",
}


def run(arguments: argparse.Namespace) -> int:
    """Verify one plan: 0 where it holds, 1 where it does not or, with ``--strict``, where its optimum is not shown."""
    plan = _plan(arguments.file)
    report = verify(plan)
    for line in _lines(report, plan):
        print(line)
    if report.breaches or (arguments.strict and report.bound != "re-proved"):
        return 1
    return 0


def _plan(name: str) -> dict[str, object]:
    try:
        document = read_json(read_input(name), settings().json_depth)
    except MalformedJson as error:
        raise CommandError(f"{name}: {error}") from error
    if not isinstance(document, dict) or "fits" not in document:
        raise CommandError(f"{name}: is not a plan")
    return document


def _lines(report: Report, plan: dict[str, object]) -> list[str]:
    name = one_line(str(plan.get("name", "")))
    if plan["fits"] is False and report.holds:
        return [f"NOTHING TO CHECK  {name}", *(f"  {note}" for note in report.notes)]
    if report.breaches:
        # Beyond the first breach what follows from it may be told as well, so no bound is spoken of.
        lines = [f"DOES NOT HOLD  {name}"]
        lines += [f"  {one_line(breach.pointer) or '/'}: {one_line(breach.text)}" for breach in report.breaches]
        return lines
    lines = [f"HOLDS  {name}", "Checked:"]
    lines += [f"  {each}" for each in report.checked]
    lines += [_BOUND[report.bound], *(f"  {each}" for each in report.rests_on)]
    return [*lines, "Notes:", *(f"  {note}" for note in report.notes)]
