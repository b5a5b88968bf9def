"""The long forms of the fuzzing, with a table of what they came to.

Run with ``python -m tests.faults.long_fuzz [schemathesis-sqlite] [schemathesis-postgresql] [readers] [life]`` (none named:
all). ``--scale 0.1`` makes them shorter, ``--seed`` draws other cases. The exit code is 1 where anything was found.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from service.api.spec import load_spec
from tests.bench.machine import machine
from tests.faults.described.run import Came, Who, described_run
from tests.faults.described.serving import ROOT, standing
from tests.faults.fuzz_targets import TARGETS
from tests.stores import postgres_database

TURNS: tuple[tuple[Who, str, int], ...] = (
    ("crew", "examples,coverage", 1),
    ("crew", "fuzzing", 120),
    ("crew", "stateful", 160),
    ("office", "fuzzing", 15),
)
"""Who asks, in which phases, with how many examples an operation; a turn of examples and coverage is as long as it is."""

READER_RUNS, READER_S = 2_000_000, 120
LIVES = 20

Outcome = tuple[str, bool]
"""What it came to in words, and whether it held."""


@dataclass(frozen=True)
class Asked:
    """How much is to be tried, and from which seed on."""

    scale: float
    seed: int
    folder: Path


def _described(asked: Asked, url: str, processes: int) -> Outcome:
    came, turns = Came(), []
    for number, (who, phases, examples) in enumerate(TURNS):
        folder = asked.folder / f"turn-{number}"
        folder.mkdir()
        log = folder / "server.log"
        # What is not an empty database any more: the next turn has one of its own, or the same emptied.
        with _emptied(url, folder) as empty, standing(empty, processes, log) as server:
            began = time.monotonic()
            wanted = max(1, round(examples * asked.scale))
            one = described_run(folder, log, server, who, wanted, asked.seed + number, phases.split(","))
        turns.append(f"{who}, {phases}: {one.cases} cases in {time.monotonic() - began:.0f} s")
        came.add(one)
    return _told(came, turns), not came.faults
