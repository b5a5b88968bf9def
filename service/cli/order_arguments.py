"""The grammar of ``order``."""

from __future__ import annotations

import argparse
from typing import Any

from service.cli.parsers import Commands, add_command
from service.cli.team_argument import add_team


def add_order(commands: Commands[Any]) -> None:
    """Add the command."""
    parser = add_command(
        commands,
        "order",
        "order what plans and takeoffs need",
        "Adds up what stored plans and finished takeoffs ask for, pools the spares of their sleeves, takes off what "
        "comes in the closures' boxes and what the stock has free, and rounds the rest up to packs once. The order is "
        "stored as a draft and holds its stock. What stands in another order already is refused without --again.",
        """examples:
  python -m service order --takeoff latest --database demo.sqlite3
  python -m service order --plan 0123456789abcdef0123456789abcdef --confidence 0.99 --format json
  python -m service order --takeoff latest --name "First lot" --out order.csv
""",
    )
    parser.add_argument(
        "--takeoff", action="append", default=[], metavar="ID", help="a finished takeoff, or 'latest'; can be repeated"
    )
    parser.add_argument("--plan", action="append", default=[], metavar="ID", help="a stored plan; can be repeated")
    parser.add_argument("--name", default="", help="the order's name")
    parser.add_argument("--supplier", help="who is to deliver")
    parser.add_argument("--deliver-to", metavar="PLACE", help="where to")
    parser.add_argument("--reference", help="the order's number in your own books")
    parser.add_argument(
        "--confidence",
        type=_confidence,
        metavar="P",
        help="how sure it is to be that the sleeves last for all of it (default: the highest of the plans')",
    )
    parser.add_argument("--again", action="store_true", help="also what stands in another order already")
    parser.add_argument("--strict", action="store_true", help="not where splice points would be left out")
    parser.add_argument("--format", choices=("table", "json"), default="table", help="(default: table)")
    parser.add_argument("--out", metavar="FILE", help="write the order to a .json, .csv, .xlsx or .pdf file as well")
    parser.add_argument(
        "--database",
        metavar="URL",
        help="where the plans, takeoffs and stock are (default: TRAYWRIGHT_DATABASE, else the file traywright.db)",
    )
    add_team(parser)


def _confidence(text: str) -> float:
    try:
        confidence = float(text)
    except ValueError:
        confidence = 0.0
    if not 0.5 <= confidence <= 0.9999:
        raise argparse.ArgumentTypeError(f"{text}: a confidence is a number from 0.5 to 0.9999")
    return confidence
