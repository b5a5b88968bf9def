"""The long forms of the fuzzing, with what they came to.

Run with ``python -m tests.faults.long_fuzz [schemathesis-sqlite] [schemathesis-postgresql] [readers] [life]`` (none
named: all). ``--scale 0.1`` makes them shorter, ``--seed`` draws other cases. Exit code 1: something was found.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path

from service.api.spec import load_spec
from tests.bench.machine import machine
from tests.faults import test_life_of_a_service as lives
from tests.faults.described.run import Came, Who, described_run
from tests.faults.described.serving import ROOT, standing
from tests.faults.fuzz_targets import TARGETS
from tests.stores import postgres_database

TURNS: tuple[tuple[Who, str, int], ...] = (
    ("crew", "examples,coverage", 1),
    ("crew", "fuzzing", 110),
    ("crew", "stateful", 100),
    ("office", "fuzzing", 10),
    ("office", "stateful", 20),
)
"""Who asks, in which phases, with how many examples an operation; examples and coverage are as many as there are."""

READER_S = 120
LIVES = 40
_RUNS = re.compile(r"Done (\d+) runs")

Outcome = tuple[str, bool]
"""What it came to in words, and whether it held."""
Fresh = Callable[[Path], AbstractContextManager[str]]
"""A database with nothing in it, in a folder or on a server; its URL."""


@dataclass(frozen=True)
class Asked:
    """How much is to be tried, from which seed on, and where there is room for it."""

    scale: float
    seed: int
    folder: Path

    def of(self, amount: int) -> int:
        """So much of an amount."""
        return max(1, round(amount * self.scale))


@contextmanager
def _sqlite(folder: Path) -> Iterator[str]:
    yield f"sqlite:///{folder / 'fuzzed.db'}"


@contextmanager
def _postgresql(folder: Path) -> Iterator[str]:
    with postgres_database() as url:
        yield url


def schemathesis_sqlite(asked: Asked) -> Outcome:
    """Every phase and check against one process (waitress) on SQLite."""
    return _described(asked, _sqlite, processes=1)


def schemathesis_postgresql(asked: Asked) -> Outcome:
    """The same against two processes (granian) on PostgreSQL."""
    return _described(asked, _postgresql, processes=2)


def _described(asked: Asked, fresh: Fresh, processes: int) -> Outcome:
    came, lines = Came(), []
    for number, (who, phases, examples) in enumerate(TURNS):
        folder = asked.folder / f"turn-{number}"
        folder.mkdir()
        log, began = folder / "server.log", time.monotonic()
        # Each turn begins with what lies there, since the one before has changed and removed much of it.
        with fresh(folder) as url, standing(url, processes, log) as server:
            seed = asked.seed + number
            one = described_run(folder, log, server, who, asked.of(examples), seed, phases.split(","))
        lines.append(f"{who}, {phases}: {one.cases} cases in {time.monotonic() - began:.0f} s")
        came.add(one)
    never = sorted({each.id for each in load_spec().operations.values() if each.scope is not None} - came.succeeded)
    lines += [
        f"cases {came.cases}; answers {', '.join(f'{status}: {n}' for status, n in sorted(came.statuses.items()))}",
        f"complaints left out, each for a reason in `described/hooks.py`: {came.left_out}",
        f"operations never answered with success: {', '.join(never) or 'none'}; faults {len(came.faults)}",
        *came.faults[:20],
    ]
    return "\n  ".join(lines), not came.faults


def readers(asked: Asked) -> Outcome:
    """Every target by Atheris for two minutes."""
    lines, held = [], True
    for name in TARGETS:
        command = [sys.executable, "-m", "tests.faults.atheris_run", name, "--runs", str(10**9)]
        command += ["--seconds", str(asked.of(READER_S)), "--seed", str(asked.seed)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, errors="replace", check=False)
        runs = _RUNS.search(done.stderr)
        good = done.returncode == 0 and runs is not None
        lines.append(f"{name}: {runs[1] if runs else 'no'} runs" if good else f"{name}: {done.stderr[-3000:]}")
        held = held and good
    return "\n  ".join(lines), held


def life(asked: Asked) -> Outcome:
    """Lives of a service, drawn anew."""
    environment = {**os.environ, "TRAYWRIGHT_FUZZ": str(asked.of(LIVES)), "TRAYWRIGHT_SEARCH": "1"}
    command = [sys.executable, "-m", "pytest", "-q", "-n", "0", "-p", "no:cacheprovider"]
    command += [f"--hypothesis-seed={asked.seed}", "tests/faults/test_life_of_a_service.py"]
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    told = f"{asked.of(LIVES) * lives.LIVES} lives of up to {lives.STEPS} steps: {done.stdout.strip().splitlines()[-1]}"
    return told if done.returncode == 0 else f"{told}\n  {done.stdout[-4000:]}", done.returncode == 0


FORMS: dict[str, Callable[[Asked], Outcome]] = {
    "schemathesis-sqlite": schemathesis_sqlite,
    "schemathesis-postgresql": schemathesis_postgresql,
    "readers": readers,
    "life": life,
}


def main() -> int:
    """Run the forms that are named and print what they came to."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.long_fuzz")
    parser.add_argument("forms", nargs="*", metavar="form", help=", ".join(FORMS))
    parser.add_argument("--scale", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=7)
    options = parser.parse_args()
    unknown = set(options.forms) - set(FORMS)
    if unknown:
        parser.error(f"there is no {', '.join(sorted(unknown))}; choose from {', '.join(FORMS)}")
    print(machine(), flush=True)
    good = True
    for name in options.forms or FORMS:
        began = time.monotonic()
        with tempfile.TemporaryDirectory() as folder:
            told, held = FORMS[name](Asked(options.scale, options.seed, Path(folder)))
        good = good and held
        print(f"{name}: {'held' if held else 'NOT HELD'} ({time.monotonic() - began:.0f} s)\n  {told}", flush=True)
    return 0 if good else 1


if __name__ == "__main__":
    raise SystemExit(main())
