"""Opening the database that a command works on, and turning the store's refusals into one line."""

from __future__ import annotations

import argparse
import os
import pwd
from collections.abc import Iterator
from contextlib import contextmanager

from service.cli.failures import CommandError
from service.cli.places import database_file, database_url, settings
from service.domain.access import DEFAULT_TEAM
from service.domain.audit import Actor
from service.store import NotMigrated, Store, StoreError, acts, open_store


def chosen_url(arguments: argparse.Namespace) -> str:
    """The database URL that the arguments, or else the environment, name."""
    return database_url(arguments.database or settings().database)


@contextmanager
def opened(url: str, make: bool = False, team: str = DEFAULT_TEAM) -> Iterator[Store]:
    """The store of a team at a URL, closed afterwards; what is changed goes on record by the account that runs this.

    ``make``: an empty or older database is brought up to date first, and a team that is new is made.

    Raises ``CommandError`` for whatever the store reports, and where an SQLite file is to be read that is not there.
    """
    path = database_file(url)
    if path is not None and not make and not path.exists():
        raise CommandError(f"{path}: there is no such database; make one with: python -m service database upgrade")
    acts(Actor(f"command line, {_account()}"))
    try:
        store = open_store(url)
        try:
            if make:
                store.upgrade()
            if team != DEFAULT_TEAM:
                store = store.for_team((store.access.made_team if make else store.access.team)(team).id)
            yield store
        finally:
            store.close()
    except NotMigrated as error:
        raise CommandError(f"{error} (python -m service database upgrade)") from error
    except StoreError as error:
        raise CommandError(str(error)) from error
    except ValueError as error:
        raise CommandError(f"the database URL cannot be read: {error}") from error
    finally:
        acts(None)


def _account() -> str:
    """The name of the operating system's account, or its number where it has no name, as in some containers."""
    number = os.getuid()
    try:
        return pwd.getpwuid(number).pw_name
    except KeyError:
        return str(number)
