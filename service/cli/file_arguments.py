"""The grammar of ``template`` and ``import``."""

from __future__ import annotations

import argparse
from typing import Any

from service.cli.parsers import Commands, add_command
from service.cli.team_argument import add_team

_SECTION = "the section of the catalogue that the CSV is of: sleeves, trays, closures, cables, methods, materials"


def add_files(commands: Commands[Any]) -> None:
    """Add both commands."""
    _template(commands)
    _import(commands)


def _template(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "template",
        "write a workbook or CSV to type into",
        "Writes an empty workbook (or by the ending of its name CSV) with what belongs in each column, for import to "
        "read. With --filled it has the catalogue of a database in it: change it and import it again.",
        """examples:
  python -m service template catalogue catalogue.xlsx
  python -m service template catalogue materials.csv --section materials --filled --database build.db
  python -m service template splice-points points.xlsx
""",
    )
    _what(parser)
    parser.add_argument("out", metavar="FILE", help="the file to write, '-' for standard output (a workbook)")
    parser.add_argument("--section", metavar="NAME", help=_SECTION)
    parser.add_argument("--filled", action="store_true", help="with what the catalogue of the database has")
    _database(parser)


def _import(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "import",
        "bring in a workbook, CSV or map",
        "catalogue: adds and changes entries as a workbook or CSV says, all of it or nothing; what is not in the file "
        "stays. splice-points: prints the splice points of a workbook, CSV or map (.geojson) as lines, for takeoff to "
        "read. Faults go to standard error, one a line, as sheet!cell: what, with exit code 2.",
        """examples:
  python -m service import catalogue catalogue.xlsx --database build.db --check
  python -m service import catalogue prices.csv --section materials --database build.db
  python -m service import splice-points points.xlsx > points.ndjson
""",
    )
    parser.set_defaults(command="importing")
    _what(parser)
    parser.add_argument("file", metavar="FILE", help="the file, by whose ending it is known what it is")
    parser.add_argument("--section", metavar="NAME", help=_SECTION)
    parser.add_argument("--check", action="store_true", help="say what would change, and store nothing")
    _database(parser)


def _what(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("what", choices=("catalogue", "splice-points"))


def _database(parser: argparse.ArgumentParser) -> None:
    told = "sqlite:///file, a plain file name, or postgresql://user@host/name (default: TRAYWRIGHT_DATABASE)"
    parser.add_argument("--database", metavar="URL", help=told)
    add_team(parser)
