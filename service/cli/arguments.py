"""The grammar of the command line: every command with its arguments, its help and its examples.

A command's code is loaded only when it is run, so that help and refusals are there at once.
"""

from __future__ import annotations

import argparse
from typing import Any

from service import __version__
from service.cli.file_arguments import add_files
from service.cli.order_arguments import add_order
from service.cli.parsers import Commands, OneLineParser, add_command
from service.cli.takeoff_arguments import add_takeoff
from service.cli.team_argument import add_team
from service.cli.token_arguments import add_tokens


def parser() -> argparse.ArgumentParser:
    """The parser of the whole command line; what is parsed says under ``command`` which command it is."""
    top = OneLineParser(
        prog="python -m service",
        description="Plans fibre splice closures, over HTTP and on the command line.",
        epilog="Help on one command, with an example:  python -m service COMMAND --help",
    )
    top.add_argument("--version", action="version", version=f"traywright {__version__}")
    commands = top.add_subparsers(
        title="commands", metavar="COMMAND", dest="command", required=True, parser_class=OneLineParser
    )
    for add in (_serve, _worker, _demo, _load, _plan, add_takeoff, add_order, _verify, _database, _recompute):
        add(commands)
    add_files(commands)
    add_tokens(commands)
    _settings(commands)
    return top


def _serve(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "serve",
        "serve the HTTP API",
        "Serves the HTTP API. Where the database has no access token yet, it listens on the loopback address alone: "
        "whoever can log in on this machine can use it, nobody else. With a token (see: tokens) every request needs "
        "one, and any address may be listened on. The database is made or upgraded first.",
        """examples:
  python -m service serve --port 8080 --database sqlite:///build.db
  python -m service serve --workers 2 --database postgresql://planner@127.0.0.1/traywright
""",
    )
    _add_listening(parser)
    _add_database(parser)


def _demo(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "demo",
        "plan a fictional build and show it",
        "Plans forty splice points of an invented town with an invented catalogue, stores them in an SQLite file and "
        "prints three in full and the rest in a line each. A file that holds anything but this demo is replaced only "
        "with --fresh.",
        """examples:
  python -m service demo
  python -m service demo --serve --port 8080
""",
    )
    _add_database(parser, "demo.sqlite3")
    parser.add_argument("--fresh", action="store_true", help="replace whatever the file holds")
    parser.add_argument("--serve", action="store_true", help="serve it afterwards")
    _add_listening(parser)


def _worker(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "worker",
        "work on the takeoffs of a database",
        "Works on the takeoffs of a database that serve receives, until interrupted: on any number of machines where "
        "the database is on PostgreSQL. A worker that is killed loses nothing; another does again what it was at.",
        """examples:
  python -m service worker --database postgresql://planner@127.0.0.1/traywright
  python -m service worker --processes 8 --engine --database postgresql://planner@127.0.0.1/traywright
""",
    )
    parser.add_argument("--processes", type=_workers, metavar="N", help="worker processes (default: one for each core)")
    _add_engine(parser)
    _add_database(parser)


def _load(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "load",
        "load a catalogue document into a database",
        "Makes the catalogue what the document says, all of it or, where anything is wrong with it, nothing. What the "
        "document leaves out is removed, or retired where a plan or another entry uses it. The database is made or "
        "upgraded where need be. Faults go to standard error, one a line.",
        """example:
  python -m service load demo/catalogue.json --database build.db
""",
    )
    parser.add_argument("file", metavar="FILE", help="the document, '-' for standard input")
    _add_database(parser)
    add_team(parser)


def _plan(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "plan",
        "plan one splice point",
        "Plans one request and prints the answer; nothing is stored. A request that does not fit is an answer too, "
        "with exit code 0. Faults of the request go to standard error, one a line, with exit code 2.",
        """examples:
  head -n 1 demo/splice-points.ndjson | python -m service plan - --format table
  python -m service plan request.json --catalogue demo/catalogue.json
  python -m service plan request.json --format svg > drawing.svg
""",
    )
    parser.add_argument("file", metavar="FILE", help="the request, '-' for standard input")
    source = parser.add_mutually_exclusive_group()
    source.add_argument("--catalogue", metavar="FILE", help="a catalogue document (default: the demo's)")
    source.add_argument("--database", metavar="URL", help="take the catalogue from this database instead")
    parser.add_argument("--format", choices=("json", "table", "svg"), default="json", help="(default: json)")
    add_team(parser)


def _verify(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "verify",
        "check a plan by itself",
        "Checks a plan, as the API or `plan` gives it in JSON, by arithmetic of its own: every splice, slot, tray and "
        "port against the plan's certificate, and whether less would do. Exit code 0 where all rules hold, 1 where one "
        "is broken, told with its place in the plan. Where the claim that less would not do cannot be shown again "
        "without the planner's search, that is said, and with --strict the exit code is then 1.",
        """examples:
  python -m service verify plan.json
  python -m service plan request.json | python -m service verify - --strict
""",
    )
    parser.add_argument("file", metavar="PLAN", help="a plan as JSON, or - for standard input")
    parser.add_argument("--strict", action="store_true", help="exit with 1 also where the optimum is not shown again")


def _database(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "database",
        "upgrade, check, show, back up or restore a database",
        "upgrade: make the tables, or bring them to this version. check: exit 0 where this version can work with the "
        "database, 1 where not. show: its schema and catalogue revisions, and how many plans it holds. backup: write "
        "all of it to a new file, while it is in use. restore: make an empty database what a backup says, or with "
        "--replace another one, as long as nobody is connected to it. For PostgreSQL the last two want pg_dump and "
        "pg_restore on the path.",
        """examples:
  python -m service database upgrade --database sqlite:///build.db
  python -m service database backup monday.backup --database sqlite:///build.db
  python -m service database restore monday.backup --database sqlite:///build.db --replace
""",
    )
    parser.add_argument("action", choices=("upgrade", "check", "show", "backup", "restore"))
    parser.add_argument("file", nargs="?", metavar="FILE", help="the backup to make, or to restore")
    parser.add_argument("--replace", action="store_true", help="restore over what the database holds")
    _add_database(parser)
    add_team(parser)


def _settings(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "settings",
        "show which settings are in force",
        "Shows every setting with its value, whether that comes from the environment or is the default, and the "
        "variable that sets it. Passwords in addresses are left out. Variables that begin like ours and set nothing "
        "are told on standard error, with exit code 1.",
        """example:
  TRAYWRIGHT_PORT=9000 python -m service settings
""",
    )
    parser.add_argument("--format", choices=("table", "json"), default="table", help="(default: table)")


def _recompute(commands: Commands[Any]) -> None:
    parser = add_command(
        commands,
        "recompute",
        "show that stored plans come out the same again",
        "Plans stored requests again with the catalogue as it was when they were planned, and compares the answers "
        "byte for byte. Exit code 1 where one differs. A plan that another version made may differ.",
        """examples:
  python -m service recompute --database demo.sqlite3
  python -m service recompute 0123456789abcdef0123456789abcdef --database demo.sqlite3
""",
    )
    parser.add_argument("ids", nargs="*", metavar="ID", help="plans to recompute (default: all)")
    _add_database(parser)
    add_team(parser)


def _add_database(parser: argparse.ArgumentParser, default: str | None = None) -> None:
    told = default or "TRAYWRIGHT_DATABASE from the environment, else the file traywright.db"
    parser.add_argument(
        "--database",
        metavar="URL",
        default=default,
        help=f"sqlite:///file, a plain file name, or postgresql://user@host/name (default: {told})",
    )


def _add_engine(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--engine",
        action="store_true",
        help="have takeoffs delivered to workers by Procrastinate, on PostgreSQL (default: workers look for them)",
    )


def _add_listening(parser: argparse.ArgumentParser) -> None:
    told = "(default: TRAYWRIGHT_HOSTS, else 127.0.0.1; any but a loopback address needs access tokens)"
    parser.add_argument("--host", help=told)
    parser.add_argument("--port", type=_port, help="(default: TRAYWRIGHT_PORT, else 8080)")
    parser.add_argument("--workers", type=_workers, help="server processes (default: TRAYWRIGHT_WORKERS, else 1)")
    parser.add_argument(
        "--takeoff-workers",
        type=_workers_or_none,
        metavar="N",
        help="processes that work on takeoffs (default: one for each core; 0: none, others do it)",
    )
    _add_engine(parser)


def _port(text: str) -> int:
    port = int(text) if text.isdecimal() else -1
    if not 0 < port < 65536:
        raise argparse.ArgumentTypeError(f"{text}: a port is a number from 1 to 65535")
    return port


def _workers_or_none(text: str) -> int:
    return 0 if text == "0" else _workers(text)


def _workers(text: str) -> int:
    workers = int(text) if text.isdecimal() else 0
    if not 0 < workers <= 64:
        raise argparse.ArgumentTypeError(f"{text}: from 1 to 64 workers")
    return workers
