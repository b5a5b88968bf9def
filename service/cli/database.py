"""``database``: bring a database's schema up to date, check it, show its revisions."""

from __future__ import annotations

import argparse

from service.cli.opening import chosen_url, opened
from service.store import SchemaMismatch, Store


def run(arguments: argparse.Namespace) -> int:
    """Do the one thing asked."""
    with opened(chosen_url(arguments), make=arguments.action == "upgrade", team=arguments.team) as store:
        if arguments.action == "check":
            return _check(store)
        print(f"schema {store.schema_revision() or 'none: the database is empty'}")
        if arguments.action == "show":
            print(f"catalogue revision {store.catalogue_revision()}")
            print(f"plans {sum(1 for _ in store.plan_ids())}")
    return 0


def _check(store: Store) -> int:
    """Whether the database answers, its schema is this version's, and an SQLite file is sound in every page."""
    try:
        store.catalogue_revision()
        store.insist_on_sound(whole=True)
    except SchemaMismatch as error:
        print(error)
        return 1
    print(f"schema {store.schema_revision()}: good")
    return 0
