"""The long forms of the fault and abuse tests, and what they came to as one table.

Run with ``python -m tests.faults.long`` and the names of forms: kills-sqlite, kills-postgresql, history, slow, large,
memory; without any, all of them. ``--scale 0.1`` makes them shorter. The table is Markdown on standard output; how far
a form is stands on standard error. The exit code is 1 where anything was lost, doubled, broken or not answered.
"""

from __future__ import annotations

import argparse
import logging
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.bench.machine import machine
from tests.faults.forms import FORMS, Row
from tests.faults.progress import Progress


def _rows(name: str, scale: float, folder: Path) -> Iterator[Row]:
    """The rows of a form; what cannot go on to its end is a fault of its own, and the next form has its turn."""
    try:
        yield from FORMS[name](scale, folder, Progress(name))
    except (Exception, pytest.skip.Exception) as error:
        yield Row(name, "did not come to its end", [repr(error)])


def main() -> int:
    """Run the forms that are named and print what they came to."""
    parser = argparse.ArgumentParser(prog="python -m tests.faults.long")
    parser.add_argument("forms", nargs="*", metavar="form", help=", ".join(FORMS))
    parser.add_argument("--scale", type=float, default=1.0)
    options = parser.parse_args()
    unknown = set(options.forms) - set(FORMS)
    if unknown:
        parser.error(f"there is no {', '.join(sorted(unknown))}; choose from {', '.join(FORMS)}")
    # That a database which was just killed cannot be reached is no news here.
    logging.disable(logging.CRITICAL)
    on = machine()
    print(f"{on['processor']}, {on['cores']} cores, load {on['load']:.1f}, Python {on['python']}, {on['date']}.\n")
    print("| trial | what it came to | faults | time |\n| --- | --- | --- | --- |", flush=True)
    good = True
    for name in options.forms or FORMS:
        with tempfile.TemporaryDirectory() as folder:
            began = time.monotonic()
            for row in _rows(name, options.scale, Path(folder)):
                took, began = time.monotonic() - began, time.monotonic()
                print(f"| {row.trial} | {row.told} | {len(row.faults)} | {took:.0f} s |", flush=True)
                for fault in row.faults[:20]:
                    print(f"{row.trial}: {fault}", file=sys.stderr, flush=True)
                good = good and not row.faults
    return 0 if good else 1


if __name__ == "__main__":
    raise SystemExit(main())
