"""One run of Schemathesis with every check, and what came of it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from tests.faults.described.bindings import settings_of
from tests.faults.described.serving import ROOT, Standing

Who = Literal["crew", "office"]
PHASES = ("examples", "coverage", "fuzzing", "stateful")
SPEC = ROOT / "openapi.yaml"
SCHEMATHESIS = (sys.executable, "-c", "from schemathesis.cli import schemathesis; schemathesis()")

SCENARIOS = 5
"""So many scenarios for each example that an operation gets."""

# What is valid may still be refused by a precondition, for lack of a scope, for what is or is not there, and by the
# rules of the trade; by nothing else. The description tells a limit in bytes for bodies, which no schema can say.
TO_VALID = ["2xx", "304", "403", "404", "409", "412", "413", "422", "428"]
TO_INVALID = ["400", "401", "403", "404", "405", "406", "409", "412", "413", "415", "422", "428", "429"]


@dataclass
class Came:
    """What came of runs: cases, faults in words, answers by status, operations answered with success."""

    cases: int = 0
    left_out: int = 0
    faults: list[str] = field(default_factory=list)
    statuses: Counter[int] = field(default_factory=Counter)
    succeeded: set[str] = field(default_factory=set)

    def add(self, other: Came) -> None:
        """Add what came of another run."""
        self.cases += other.cases
        self.left_out += other.left_out
        self.faults += other.faults
        self.statuses += other.statuses
        self.succeeded |= other.succeeded


def described_run(
    folder: Path, log: Path, server: Standing, who: Who, examples: int, seed: int, phases: Sequence[str] = PHASES
) -> Came:
    """Run phases with so many examples an operation, as an ordinary team or as an administrator.

    The server's ``log`` is read for what it answered, and for faults that it noted itself.
    """
    config, report = folder / "schemathesis.toml", folder / "report.json"
    config.write_text("\n".join(_settings(folder, server, who, examples)), "utf-8")
    began = log.stat().st_size
    command = [
        *SCHEMATHESIS, "--config-file", str(config), "run", str(SPEC), "--url", server.url,
        *("--phases", ",".join(phases), "--seed", str(seed), "--no-shrink", "--continue-on-failure", "--no-color"),
        *("--generation-database", "none", "--warnings", "off", "--report", "json", "--report-json-path", str(report)),
    ]  # fmt: skip
    hooks = {"SCHEMATHESIS_HOOKS": "tests.faults.described.hooks", "PYTHONPATH": str(ROOT), "PYTHONWARNINGS": "ignore"}
    environment = {**os.environ, **hooks, "FUZZED_WITH": getattr(server, who)["Authorization"].split("_")[1]}
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)
    (folder / "output.txt").write_text(done.stdout + done.stderr, "utf-8")
    if not report.exists():
        return Came(faults=[done.stdout[-2000:] + done.stderr[-2000:]])
    told = json.loads(report.read_text("utf-8"))
    came = Came(told["test_cases"]["generated"], told["filtered"])
    came.faults += re.split(r"\n\d+\. Test Case ID: ", done.stdout)[1:]
    if done.returncode and not came.faults:
        came.faults.append(done.stdout[-4000:])
    _read_log(log, began, came)
    return came


def _settings(folder: Path, server: Standing, who: Who, examples: int) -> list[str]:
    """The settings of a run. A third team reads whatever the run's own team has made, and must not be given it."""
    people = {"crew": server.crew, "office": server.office, "neighbours": server.neighbours}
    known = [
        {"name": name, "fixedHeaders": [{"name": header, "value": value} for header, value in headers.items()]}
        for name, headers in people.items()
    ]
    (folder / "people.json").write_text(json.dumps({"auth": known}), "utf-8")
    return [
        "[auth.wfc]",
        f"path = {json.dumps(str(folder / 'people.json'))}",
        f'user = "{who}"',
        f'peers = ["{who}", "neighbours"]',
        "[checks.positive_data_acceptance]",
        f"expected-statuses = {json.dumps(TO_VALID)}",
        "[checks.negative_data_rejection]",
        f"expected-statuses = {json.dumps(TO_INVALID)}",
        # A scenario is a few requests that follow from each other; there are to be as many of them as of operations.
        f"[generation]\nmax-examples = {examples}",
        "[phases.stateful]",
        # What is not valid is the other phases' affair: what follows from a refusal is nothing.
        f'generation = {{ max-examples = {SCENARIOS * examples}, mode = "positive" }}',
        *settings_of(server.ids, server.doomed),
    ]


def _read_log(log: Path, began: int, came: Came) -> None:
    with log.open("rb") as lines:
        lines.seek(began)
        for line in lines:
            noted = json.loads(line) if line.startswith(b"{") else {"level": "error", "message": line.decode()}
            if noted["level"] in ("error", "critical"):
                came.faults.append(f"the server noted: {json.dumps(noted)}")
            status = noted.get("status")
            if status is not None:
                came.statuses[status] += 1
                if status < 300:
                    came.succeeded.add(noted["operation"])
