"""The argument that says whose a command is."""

from __future__ import annotations

import argparse
import re

from service.domain.access import DEFAULT_TEAM

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}\Z")


def add_team(parser: argparse.ArgumentParser) -> None:
    """Add ``--team``."""
    told = f"the team whose rows of the database it is about (default: {DEFAULT_TEAM})"
    parser.add_argument("--team", type=_team_name, metavar="TEAM", default=DEFAULT_TEAM, help=told)


def _team_name(text: str) -> str:
    if not _NAME.match(text):
        raise argparse.ArgumentTypeError(f"{text!r}: a team has letters, digits, dots, dashes and underscores")
    return text
