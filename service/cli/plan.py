"""``plan``: plan one splice point from a file or standard input, no server needed."""

from __future__ import annotations

import argparse
import hashlib
import sys
from collections.abc import Sequence
from datetime import UTC, datetime

from service.cli.answers import Answered, answer_bytes, answered
from service.cli.checking import checked_catalogue, checked_request
from service.cli.failures import CommandError
from service.cli.inputs import read_input
from service.cli.places import demo_file
from service.documents.catalogue import catalogue_from
from service.domain.catalogue import Catalogue
from service.domain.records import Tally
from service.sheets.text import plan_text


def run(arguments: argparse.Namespace) -> int:
    """Check the request, plan it, print it."""
    if arguments.file == "-" and arguments.catalogue == "-":
        raise CommandError("request and catalogue cannot both come from standard input")
    source = read_input(arguments.file)
    checked_request(source, arguments.file)
    catalogue, recorded = _catalogue(arguments)
    done = answered(source, catalogue, recorded)
    if arguments.format == "table":
        print(plan_text(done.plan, catalogue, done.request), end="")
    elif arguments.format == "svg":
        sys.stdout.buffer.write(_drawing(done, catalogue))
    else:
        print(answer_bytes(done.plan).decode())
    return 0


def _drawing(done: Answered, catalogue: Catalogue) -> bytes:
    """The drawing; a plan that is not stored has no id, so that of its request stands in where it has no name."""
    from service.domain.dossier import Dossier
    from service.sheets.drawing.plan_drawing import plan_svg

    id = hashlib.sha256(done.document).hexdigest()[:32]
    return plan_svg(Dossier(id, datetime.fromtimestamp(0, UTC), done.plan, done.request, catalogue))


def _catalogue(arguments: argparse.Namespace) -> tuple[Catalogue, Sequence[Tally]]:
    """The catalogue, and what the splice records of the same database have taught."""
    if arguments.database is not None:
        # The store is loaded only where a database is named: without it a plan is there in half the time.
        from service.cli.opening import chosen_url, opened

        with opened(chosen_url(arguments), team=arguments.team) as store:
            return store.snapshot(), store.records.tallies()
    name = arguments.catalogue or str(demo_file("catalogue.json"))
    return catalogue_from(checked_catalogue(read_input(name), name)), ()
