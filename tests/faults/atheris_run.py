"""One target run by Atheris, which looks for bytes that reach new code: ``python -m tests.faults.atheris_run NAME``.

``--runs`` and ``--seconds`` bound it, whichever comes first; what it finds is told with the bytes that did it, and the
exit code is then not 0. What it has learned is not kept: a crash becomes a seed of its target, and so a test.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from pathlib import Path

import atheris

# What a text is compared with is learned as well. Patterns would be, too, but Atheris 3.0 stumbles over those of bytes.
atheris.enabled_hooks.add("str")
with atheris.instrument_imports(include=["service"]):
    from tests.faults.fuzz_targets import TARGETS

LONGEST = 4096


def main() -> None:
    """Run a target until it is done or has failed; the process ends with it."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.atheris_run")
    parser.add_argument("target", choices=TARGETS)
    parser.add_argument("--runs", type=int, default=100_000)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    target = TARGETS[options.target]
    with tempfile.TemporaryDirectory() as folder:
        seeds = target.seeds()
        for number, seed in enumerate(seeds):
            (Path(folder) / str(number)).write_bytes(seed)
        longest = max(LONGEST, *map(len, seeds))
        bounds = [f"-runs={options.runs}", f"-max_total_time={options.seconds}", f"-seed={options.seed}"]
        bounds += [f"-max_len={longest}", f"-artifact_prefix={folder}/"]
        atheris.Setup([sys.argv[0], *bounds, folder], target.holds)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
