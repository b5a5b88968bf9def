"""The grammar of ``takeoff``."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from typing import Any

from service.cli.parsers import Commands, add_command
from service.cli.team_argument import add_team


def add_takeoff(commands: Commands[Any]) -> None:
    """Add the command."""
    parser = add_command(
        commands,
        "takeoff",
        "plan a whole build",
        "Plans many splice points, one a line of the file, in worker processes with a bar of progress, and prints what "
        "all of it needs. Equal splice points are planned once. Lines that are not in order are listed and do not stop "
        "the others. With --database the takeoff stays there, to be read and ordered from; without, nothing stays but "
        "what is printed and --out. Exit code 1 where it was cancelled or could not go on.",
        """examples:
  python -m service takeoff demo/build.ndjson
  python -m service takeoff demo/build.ndjson --closure-kinds 3 --out plans.ndjson
  python -m service takeoff build.ndjson --database build.db --name "Phase 2"
  python -m service takeoff build.ndjson --server http://127.0.0.1:8080
""",
    )
    parser.add_argument("file", metavar="FILE", help="splice points as NDJSON, '-' for standard input")
    where = parser.add_mutually_exclusive_group()
    where.add_argument("--catalogue", metavar="FILE", help="a catalogue document (default: the demo's)")
    where.add_argument("--database", metavar="URL", help="a database with a catalogue, where the takeoff stays")
    where.add_argument(
        "--server", metavar="URL", help="send it to a server that runs (token: TRAYWRIGHT_TOKEN), and watch"
    )
    parser.add_argument("--name", default="", help="the takeoff's name")
    parser.add_argument("--strict", action="store_true", help="plan nothing where one line is not in order")
    parser.add_argument(
        "--closure-kinds", type=_from_one_to(100), metavar="N", help="at most so many models of closure for all of it"
    )
    parser.add_argument(
        "--out",
        metavar="FILE",
        help="write what it needs (.csv, .xlsx), or else every splice point with its plan",
    )
    parser.add_argument(
        "--processes", type=_from_one_to(64), metavar="N", help="worker processes (default: one for each core)"
    )
    add_team(parser)


def _from_one_to(most: int) -> Callable[[str], int]:
    def read(text: str) -> int:
        number = int(text) if text.isdecimal() else 0
        if not 1 <= number <= most:
            raise argparse.ArgumentTypeError(f"{text}: a number from 1 to {most}")
        return number

    return read
