"""What a takeoff on the command line works on: its database, and the file of its splice points."""

from __future__ import annotations

import argparse
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import IO, Any

from service.building.demands import faults_of_demand
from service.building.lines import lines_of
from service.building.placeholders import run_in
from service.building.reading import Reading
from service.building.receiving import PointsRefused, receive
from service.cli.checking import checked_catalogue, point_checks
from service.cli.failures import CommandError
from service.cli.inputs import read_input
from service.cli.load import load_catalogue
from service.cli.opening import chosen_url, opened
from service.cli.places import demo_file, settings
from service.domain.faults import Fault
from service.domain.takeoff import NewTakeoff
from service.store import Store
from service.store.moments import utc_now

_BLOCK = 64 * 1024


@contextmanager
def database(arguments: argparse.Namespace) -> Iterator[tuple[Store, str]]:
    """The database named, or one that lasts as long as the command, with the catalogue of a document; and its URL."""
    if arguments.database is not None:
        url = chosen_url(arguments)
        with opened(url, make=True, team=arguments.team) as store:
            if not store.catalogue_revision():
                raise CommandError("the database has no catalogue; load one with: python -m service load")
            yield store, url
        return
    name = arguments.catalogue or str(demo_file("catalogue.json"))
    document = checked_catalogue(read_input(name), name)
    with TemporaryDirectory(prefix="takeoff-") as folder:
        url = f"sqlite:///{folder}/takeoff.db"
        with opened(url, make=True) as store:
            load_catalogue(store, document)
            yield store, url


@contextmanager
def points_file(name: str) -> Iterator[IO[bytes]]:
    """A file of splice points, or standard input for ``-``, to be read as it comes."""
    if name == "-":
        yield sys.stdin.buffer
        return
    try:
        with Path(name).open("rb") as stream:
            yield stream
    except FileNotFoundError:
        raise CommandError(f"{name}: there is no such file") from None
    except IsADirectoryError:
        raise CommandError(f"{name}: is a folder, not a file") from None


def received(store: Store, stream: IO[bytes], arguments: argparse.Namespace) -> str:
    """Store the splice points and let the work begin; the takeoff's id. Raises ``CommandError`` for a strict one."""
    checks, version = point_checks()
    snapshot, most = store.snapshot(), settings().max_splices
    takeoff = NewTakeoff(
        id=uuid.uuid4().hex,
        created=utc_now(),
        name=arguments.name,
        catalogue_revision=snapshot.catalogue_revision,
        version=version,
        strict=arguments.strict,
        closure_kinds_most=arguments.closure_kinds,
        recorded=store.records.tallies(),
    )

    def judge(demand: bytes) -> tuple[Fault, ...]:
        return faults_of_demand(snapshot, demand, most)

    reading: Reading[Any] = Reading(checks.of_line, run_in(snapshot), judge if arguments.strict else None)
    blocks = iter(lambda: stream.read(_BLOCK), b"")
    try:
        receive(store.takeoffs, takeoff, reading.read(lines_of(blocks, settings().body_limit)))
    except PointsRefused as refusal:
        faults = [
            f"line {point.line}: {fault.pointer or '/'}: {fault.detail}"
            for point in refusal.points
            for fault in point.faults
        ]
        raise CommandError(*faults, f"{refusal.count} splice points are not in order: nothing was planned") from None
    store.takeoffs.start(takeoff.id)
    return takeoff.id
