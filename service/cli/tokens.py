"""``tokens``: make, list and revoke access tokens in a database."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from service.cli.failures import CommandError
from service.cli.opening import chosen_url, opened
from service.domain.access import SCOPES, Team, Token
from service.domain.faults import Refused
from service.domain.token_life import end_of, last_day_of
from service.sheets.layout import columns
from service.store import AnyRevision, NotFound, Store
from service.store.moments import utc_now

_READ_AT_ONCE = 500


def run(arguments: argparse.Namespace) -> int:
    """Do the one thing asked."""
    _check(arguments)
    url = chosen_url(arguments)
    with opened(url, make=arguments.action == "add") as store:
        if arguments.action == "add":
            _add(store, arguments)
        elif arguments.action == "list":
            print("\n".join(_table(store, _team(store, arguments.team))))
        else:
            token = store.access.revoke(_team(store, arguments.team), arguments.id, AnyRevision())
            print(f"revoked {token.id}  {token.name}")
    return 0


def _check(arguments: argparse.Namespace) -> None:
    """Refuse what does not belong to the action, so that nothing is left out in silence."""
    wanted = {"add": {"name", "scope"}, "list": set(), "revoke": {"id"}}[arguments.action]
    taken = wanted | ({"expires"} if arguments.action == "add" else set())
    for name in ("id", "name", "scope", "expires"):
        told = "ID" if name == "id" else f"--{name}"
        given = getattr(arguments, name) is not None
        if name in wanted and not given:
            raise CommandError(f"tokens {arguments.action}: {told} is needed (see: python -m service tokens --help)")
        if given and name not in taken:
            raise CommandError(f"tokens {arguments.action}: {told} has no meaning here")


def _add(store: Store, arguments: argparse.Namespace) -> None:
    try:
        last_day = last_day_of(arguments.expires, utc_now())
    except Refused as error:
        raise CommandError(f"--expires: {error.faults[0].detail}") from error
    scopes = tuple(scope for scope in SCOPES if scope in arguments.scope)
    team = store.access.made_team(arguments.team)
    _, text = store.access.make(team, arguments.name, scopes, end_of(last_day))
    print(text)
    print(f"It is shown this once. Team {team.name}; {', '.join(scopes)}; good to the end of {last_day}.")


def _team(store: Store, name: str) -> Team:
    try:
        return store.access.team(name)
    except NotFound as error:
        raise CommandError(str(error)) from error


def _table(store: Store, team: Team) -> Iterator[str]:
    now = utc_now()
    rows = [("id", "name", "scopes", "expires", "last used", "")]
    for token in _all(store, team):
        standing = "revoked" if token.revoked else "" if token.good_at(now) else "expired"
        used = f"{token.used:%Y-%m-%d %H:%M}" if token.used else "never"
        rows.append((token.id, token.name, " ".join(token.scopes), f"{token.expires:%Y-%m-%d %H:%M}", used, standing))
    return iter(line.rstrip() for line in columns(rows, right=(), indent=0, width=200))


def _all(store: Store, team: Team) -> Iterator[Token]:
    after = None
    while some := store.access.listed(team, _READ_AT_ONCE, after):
        yield from some
        after = some[-1].created, some[-1].id
