"""``database``: bring a database's schema up to date, check it, show its revisions, back it up and restore it."""

from __future__ import annotations

import argparse
import time
from pathlib import Path

from service.cli.failures import CommandError
from service.cli.opening import chosen_url, opened
from service.store import SchemaMismatch, Store, StoreError
from service.store.backups import back_up, restore


def run(arguments: argparse.Namespace) -> int:
    """Do the one thing asked."""
    if (arguments.file is None) == (arguments.action in ("backup", "restore")):
        needs = "needs the FILE of the backup" if arguments.file is None else "takes no FILE"
        raise CommandError(f"database {arguments.action} {needs} (see: python -m service database --help)")
    if arguments.replace and arguments.action != "restore":
        raise CommandError("--replace goes with restore alone")
    if arguments.file is not None:
        return _copied(arguments)
    with opened(chosen_url(arguments), make=arguments.action == "upgrade", team=arguments.team) as store:
        if arguments.action == "check":
            return _check(store)
        print(f"schema {store.schema_revision() or 'none: the database is empty'}")
        if arguments.action == "show":
            print(f"catalogue revision {store.catalogue_revision()}")
            print(f"plans {sum(1 for _ in store.plan_ids())}")
    return 0


def _copied(arguments: argparse.Namespace) -> int:
    """Back up or restore, and tell what is in it and how long it took."""
    url, file = chosen_url(arguments), Path(arguments.file)
    began = time.perf_counter()
    try:
        if arguments.action == "backup":
            revision, done = back_up(url, file), "backed up to"
        else:
            revision, done = restore(url, file, arguments.replace), "restored from"
    except StoreError as error:
        raise CommandError(str(error)) from error
    seconds = time.perf_counter() - began
    print(f"{done} {file}: schema {revision}, {file.stat().st_size} bytes, {seconds:.2f} s")
    if arguments.action == "restore":
        with opened(url) as store:
            try:
                print(f"catalogue revision {store.catalogue_revision()}")
                print(f"plans {sum(1 for _ in store.plan_ids())}")
            except SchemaMismatch as error:
                print(f"{error} (python -m service database upgrade)")
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
