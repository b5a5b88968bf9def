"""``import``: bring what was typed into a workbook or CSV into a catalogue, or make lines of splice points of it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

import orjson

from service.api.importing.catalogue_import import Imported, import_catalogue
from service.api.importing.point_sources import Mapped, Typed
from service.api.importing.tables import catalogue_tables, points_table
from service.api.problems import Problem
from service.api.spec import Spec
from service.api.strict_json import MalformedJson, read_json
from service.api.takeoffs.sources import Head
from service.building.map_reading import mapped_points
from service.cli.checking import description
from service.cli.failures import CommandError
from service.cli.inputs import read_input
from service.cli.opening import chosen_url, opened
from service.cli.places import settings
from service.domain.catalogue import KINDS
from service.sheets.tabular.reading import TablesRead, read_csv, read_workbook
from service.sheets.tabular.rows import NotATable
from service.sheets.tabular.shape import Table

_HEAD = Head("", {}, None, True)


def run(arguments: argparse.Namespace) -> int:
    """Read the file, then store its entries or print its splice points."""
    content, spec = read_input(arguments.file), description()
    try:
        if arguments.what == "splice-points":
            sys.stdout.buffer.write(_points(content, arguments, spec))
            return 0
        return _catalogue(content, arguments, spec)
    except NotATable as error:
        raise CommandError(f"{arguments.file}: {error}") from error
    except Problem as problem:
        raise CommandError(*map(_line, problem.errors), f"{arguments.file}: {problem.detail}") from problem


def _catalogue(content: bytes, arguments: argparse.Namespace, spec: Spec) -> int:
    tables = catalogue_tables(spec)
    if _is_csv(arguments.file):
        if arguments.section not in KINDS:
            raise CommandError(f"--section: say of which section the CSV is, one of {', '.join(KINDS)}")
        read = read_csv(content, tables[arguments.section])
    else:
        read = _workbook(content, list(tables.values()))
    with opened(chosen_url(arguments), make=True, team=arguments.team) as store:
        done = import_catalogue(store, spec, read, None, arguments.check, lambda imported: None)
    assert isinstance(done, Imported)
    told = done.document()
    print(f"catalogue revision {told['revision']}{', nothing stored' if arguments.check else ''}")
    for counts in told["sections"]:
        print(f"  {counts['section']:<10}" + "".join(f"{counts[word]:>6} {word}" for word in list(counts)[1:]))
    for difference in told["differences"]:
        print(f"  {difference['entry']}: {', '.join(difference['members'])}")
    return 0


def _points(content: bytes, arguments: argparse.Namespace, spec: Spec) -> bytes:
    """The splice points of a file as lines, which ``takeoff`` takes."""
    table = points_table(spec)
    if Path(arguments.file).suffix.lower() in (".geojson", ".json"):
        try:
            points = mapped_points(read_json(content, settings().json_depth))
        except MalformedJson as error:
            raise CommandError(f"{arguments.file}: {error}") from error
        source: Mapped | Typed = Mapped(_HEAD, "", points, spec)
    else:
        read = read_csv(content, table) if _is_csv(arguments.file) else _workbook(content, [table])
        source = Typed(_HEAD, "", read, spec)
    return b"".join(orjson.dumps(document) + b"\n" for _, document in source.lines())


def _workbook(content: bytes, tables: list[Table]) -> TablesRead:
    return read_workbook(content, tables)


def _is_csv(name: str) -> bool:
    return Path(name).suffix.lower() == ".csv"


def _line(error: dict[str, Any]) -> str:
    """A fault as ``closures!F7: what is wrong``, or by its pointer where there are no cells."""
    if "row" in error:
        sheet = f"{error['sheet']}!" if "sheet" in error else ""
        return f"{sheet}{error['column']}{error['row']}: {error['detail']}"
    return f"{error.get('pointer') or '/'}: {error['detail']}"
