"""``template``: write an empty file to type into, or what a catalogue has in the same shape."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from service.api.importing.tables import catalogue_examples, catalogue_tables, points_examples, points_table
from service.cli.checking import description
from service.cli.failures import CommandError
from service.cli.opening import chosen_url, opened
from service.domain.catalogue import KINDS
from service.sheets.tabular.csv_files import csv_file
from service.sheets.tabular.xlsx_files import xlsx_file


def run(arguments: argparse.Namespace) -> int:
    """Write the file, never over one that is there."""
    content = _content(arguments)
    if arguments.out == "-":
        sys.stdout.buffer.write(content)
        return 0
    try:
        with Path(arguments.out).open("xb") as stream:
            stream.write(content)
    except FileExistsError:
        raise CommandError(f"{arguments.out}: there is such a file already") from None
    return 0


def _content(arguments: argparse.Namespace) -> bytes:
    spec, is_csv = description(), Path(arguments.out).suffix.lower() == ".csv"
    documents: Mapping[str, Any] = {}
    if arguments.filled:
        if arguments.what != "catalogue":
            raise CommandError("--filled: only a catalogue can be written out")
        with opened(chosen_url(arguments), team=arguments.team) as store:
            documents = store.catalogue_document()[0]
    if arguments.what == "splice-points":
        table = points_table(spec)
        return csv_file(table, ()) if is_csv else xlsx_file([table], {}, points_examples(spec))
    tables = catalogue_tables(spec)
    if not is_csv:
        return xlsx_file(list(tables.values()), documents, None if arguments.filled else catalogue_examples(spec))
    if arguments.section not in KINDS:
        raise CommandError(f"--section: say of which section the CSV is to be, one of {', '.join(KINDS)}")
    return csv_file(tables[arguments.section], documents.get(arguments.section, ()))
