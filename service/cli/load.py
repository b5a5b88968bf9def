"""``load``: make a database's catalogue what a document says."""

from __future__ import annotations

import argparse
from typing import Any

from service.cli.checking import checked_catalogue
from service.cli.inputs import read_input
from service.cli.opening import chosen_url, opened
from service.store import Absent, AnyRevision, CatalogueChange, Expectation, Store


def run(arguments: argparse.Namespace) -> int:
    """Check the document, then put it into the database."""
    document = checked_catalogue(read_input(arguments.file), arguments.file)
    with opened(chosen_url(arguments), make=True, team=arguments.team) as store:
        change = load_catalogue(store, document)
    print(f"catalogue revision {change.revision}")
    for what in ("added", "changed", "unchanged", "retired", "removed"):
        print(f"  {what:<10}{len(getattr(change, what)):>5}")
    return 0


def load_catalogue(store: Store, document: dict[str, Any]) -> CatalogueChange:
    """Replace the catalogue, whatever its revision; raises ``Refused``."""
    expect: Expectation = AnyRevision() if store.catalogue_revision() else Absent()
    return store.put_catalogue(document, expect)
