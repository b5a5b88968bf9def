"""``verify``: a plan is checked by itself, and the exit code says how it came out."""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

from tests.cli.command_line import POINTS, refusal, run
from tests.verifying.plans import rich_plan
from tests.verifying.test_bounds import one_tray_too_many


def as_bytes(plan: dict[str, Any]) -> bytes:
    """A plan as the API would send it."""
    return json.dumps(plan).encode()


def test_a_plan_goes_straight_into_its_check(tmp_path: Path) -> None:
    """``plan`` piped into ``verify --strict``: all is checked, the optimum is shown again, exit code 0."""
    answer = run(tmp_path, "plan", "-", stdin=POINTS[8])
    done = run(tmp_path, "verify", "-", "--strict", stdin=answer.stdout)
    text = done.stdout.decode()
    assert (done.returncode, done.stderr) == (0, b"")
    assert text.startswith("HOLDS  Ferrow Lane, handhole 7\nChecked:\n")
    assert "24 splices of 6 bundles" in text
    assert "is shown again" in text and "no lighter mix holds the work, by" in text


def test_a_breach_is_told_with_its_place_and_exit_code_1(tmp_path: Path) -> None:
    """Two splices in one slot: one line with the pointer into the plan."""
    plan = deepcopy(rich_plan())
    plan["trays"][2]["splices"][1].update(bank=1, slot=1)
    (tmp_path / "plan.json").write_bytes(as_bytes(plan))
    done = run(tmp_path, "verify", "plan.json")
    assert done.returncode == 1
    assert done.stdout.decode().startswith("DOES NOT HOLD")
    assert "\n  /trays/2/splices/1/slot: another splice lies in this slot\n" in done.stdout.decode()


def test_an_optimum_that_is_not_shown_again_is_told_and_fails_only_when_strict(tmp_path: Path) -> None:
    """The rules hold, so exit code 0 with a sentence; ``--strict`` makes it 1."""
    source = as_bytes(one_tray_too_many(rich_plan()))
    done, strict = run(tmp_path, "verify", "-", stdin=source), run(tmp_path, "verify", "-", "--strict", stdin=source)
    assert (done.returncode, strict.returncode) == (0, 1)
    assert done.stdout == strict.stdout
    assert "rests on the planner's own search, which is not repeated here" in done.stdout.decode()


def test_a_plan_that_does_not_fit_is_said_to_have_nothing_to_check(tmp_path: Path) -> None:
    """Exit code 0, and one sentence instead of a list."""
    answer = run(tmp_path, "plan", "-", stdin=POINTS[-1])
    done = run(tmp_path, "verify", "-", stdin=answer.stdout)
    assert done.returncode == 0
    assert done.stdout.decode().startswith("NOTHING TO CHECK")


def test_what_is_no_plan_is_refused_in_one_line(tmp_path: Path) -> None:
    """No JSON, another document, no file: exit code 2."""
    assert refusal(run(tmp_path, "verify", "-", stdin=b"{")).startswith("-: ")
    assert refusal(run(tmp_path, "verify", "-", stdin=POINTS[0])) == "-: is not a plan"
    assert refusal(run(tmp_path, "verify", "-", stdin=b"[]")) == "-: is not a plan"
    assert refusal(run(tmp_path, "verify", "none.json")) == "none.json: there is no such file"
