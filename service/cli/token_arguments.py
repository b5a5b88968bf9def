"""The grammar of ``tokens``."""

from __future__ import annotations

import argparse
from datetime import date
from typing import Any

from service.cli.parsers import Commands, add_command
from service.cli.team_argument import add_team
from service.domain.access import SCOPES
from service.domain.token_life import DAYS_MOST, DAYS_USUAL

_LONGEST = 200


def add_tokens(commands: Commands[Any]) -> None:
    """Add the command."""
    parser = add_command(
        commands,
        "tokens",
        "make, list or revoke access tokens",
        "add: make a token, and with it its team where that is new; it is printed this once, and only a hash of it is "
        "kept. list: the tokens of a team, never their secrets. revoke: end a token; servers that run refuse it within "
        "seconds. As soon as there is a token, every request needs one, and the server may listen on any address.",
        """examples:
  python -m service tokens add --name Office --scope admin --database build.db
  python -m service tokens add --name "Crew 4" --team north --scope read --scope build --expires 2027-03-31
  python -m service tokens list --team north
  python -m service tokens revoke 0123456789abcdef0123456789abcdef --team north
""",
    )
    parser.add_argument("action", choices=("add", "list", "revoke"))
    parser.add_argument("id", nargs="?", metavar="ID", help="the token to revoke")
    add_team(parser)
    parser.add_argument("--name", type=_line, help="whose it is, or what for")
    parser.add_argument(
        "--scope",
        action="append",
        choices=SCOPES,
        help="what it allows; give it again for more (no scope includes another, but admin allows all)",
    )
    parser.add_argument(
        "--expires",
        type=_day,
        metavar="DAY",
        help=f"the last day on which it is good, in UTC (default: {DAYS_USUAL} days on, at most {DAYS_MOST})",
    )
    parser.add_argument("--database", metavar="URL", help="(default: as for serve)")


def _line(text: str) -> str:
    if not text.isprintable() or not 0 < len(text) <= _LONGEST:
        raise argparse.ArgumentTypeError(f"a name is a line of 1 to {_LONGEST} characters")
    return text


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r}: a day is written as 2027-03-31") from None
