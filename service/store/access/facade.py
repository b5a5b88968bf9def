"""Teams and tokens as the rest of the service sees them."""

from __future__ import annotations

import secrets
import uuid
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any, cast

from sqlalchemy import Connection, Row, Select, exists, insert, literal, or_, select, tuple_, update

from service.domain.access import Scope, Team, Token
from service.domain.token_text import SECRET_BYTES, TokenText, digest_of_secret
from service.store.access.tables import TeamRow, TokenRow
from service.store.audit.noting import Noted, note
from service.store.engines import Engines
from service.store.errors import NotFound, StoreError
from service.store.moments import Moment
from service.store.orders.tables import StoreroomRow
from service.store.preconditions import Expectation, hold
from service.store.tables import CatalogueState
from service.store.teams import bound

USED_EVERY = timedelta(minutes=5)
"""How coarsely it is noted when a token was last used: not every request is to write."""

_tokens = TokenRow.__table__
_teams = TeamRow.__table__


@dataclass(frozen=True, slots=True)
class HeldToken:
    """A token with the SHA-256 of its secret."""

    token: Token
    digest: str


class AccessStore:
    """The teams and tokens of one database."""

    def __init__(self, engines: Engines, clock: Callable[[], datetime]) -> None:
        self._engines = engines
        self._clock = clock

    def any_token(self) -> bool:
        """Whether there is or ever was a token."""
        with self._engines.reading() as connection:
            return bool(connection.scalar(select(exists().select_from(_tokens))))

    def team(self, name: str) -> Team:
        """The team of this name; raises ``NotFound``."""
        with self._engines.reading() as connection:
            found = _team(connection, name)
        if found is None:
            raise NotFound(f"There is no team {name}.")
        return found

    def made_team(self, name: str) -> Team:
        """The team of this name, which is made where there is none yet."""
        with self._engines.writing() as connection:
            found = _team(connection, name)
            if found is None:
                connection.execute(insert(TeamRow), {"name": name, "created": self._clock()})
                found = _team(connection, name)
                assert found is not None
                _furnish(connection, found.id)
        return found

    def teams(self) -> list[Team]:
        """All teams by their names."""
        with self._engines.reading() as connection:
            rows = connection.execute(select(_teams.c.id, _teams.c.name).order_by(_teams.c.name))
            return [Team(row.id, row.name) for row in rows]

    def make(self, team: Team, name: str, scopes: tuple[Scope, ...], expires: datetime) -> tuple[Token, TokenText]:
        """Make and store a token, by the digest of its secret; the text that is returned is nowhere else."""
        token = Token(uuid.uuid4().hex, team, name, scopes, self._clock(), expires)
        text = TokenText(token.id, secrets.token_urlsafe(SECRET_BYTES))
        row = {
            "id": token.id,
            "team": team.id,
            "name": name,
            "scopes": " ".join(scopes),
            "digest": digest_of_secret(text.secret),
            "created": token.created,
            "expires": expires,
        }
        with self._engines.writing() as connection:
            connection.execute(insert(TokenRow), row)
            note(bound(connection, team.id), Noted("make", "tokens", token.id, None, token.revision))
        return token, text

    def held(self, token_id: str) -> HeldToken | None:
        """A token of any team with the digest of its secret, to let its holder in; None where there is none."""
        with self._engines.reading() as connection:
            row = connection.execute(_query().where(_tokens.c.id == token_id)).one_or_none()
        return None if row is None else HeldToken(_token(row), row.digest)

    def get(self, team: Team, token_id: str) -> Token:
        """A token of a team; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return _fetched(connection, team, token_id)

    def listed(self, team: Team, limit: int = 100, after: tuple[datetime, str] | None = None) -> list[Token]:
        """The tokens of a team, the newest first, from behind the token ``after`` (time, id)."""
        query = _query().where(_tokens.c.team == team.id)
        if after is not None:
            query = query.where(
                tuple_(_tokens.c.created, _tokens.c.id) < tuple_(literal(after[0], Moment), literal(after[1]))
            )
        query = query.order_by(_tokens.c.created.desc(), _tokens.c.id.desc()).limit(limit)
        with self._engines.reading() as connection:
            return [_token(row) for row in connection.execute(query)]

    def revoke(self, team: Team, token_id: str, expect: Expectation) -> Token:
        """End a token of a team; one that was revoked stays so. Raises ``NotFound``, and ``Stale`` by ``expect``."""
        now = self._clock()
        with self._engines.writing() as connection:
            token = _fetched(connection, team, token_id)
            hold(expect, token.revision, "The token")
            if token.revoked is not None:
                return token
            which = (_tokens.c.id == token_id) & (_tokens.c.team == team.id)
            connection.execute(update(TokenRow).where(which).values(revoked=now))
            revoked = replace(token, revoked=now)
            note(bound(connection, team.id), Noted("revoke", "tokens", token_id, token.revision, revoked.revision))
        return revoked

    def note_use(self, token_id: str, now: datetime) -> None:
        """Note that a token was used, unless that was noted in the last minutes. What cannot be noted now is not."""
        earlier = now - USED_EVERY
        unnoted = or_(_tokens.c.used.is_(None), _tokens.c.used <= earlier)
        with suppress(StoreError), self._engines.writing() as connection:
            connection.execute(update(TokenRow).where(_tokens.c.id == token_id, unnoted).values(used=now))


def _furnish(connection: Connection, team: int) -> None:
    """Give a new team its empty catalogue, the key of its cursors, and its storeroom."""
    state = {"team": team, "revision": 0, "cursor_key": secrets.token_bytes(SECRET_BYTES)}
    connection.execute(insert(CatalogueState), state)
    connection.execute(insert(StoreroomRow), {"team": team})


def _team(connection: Connection, name: str) -> Team | None:
    row = connection.execute(select(_teams.c.id, _teams.c.name).where(_teams.c.name == name)).one_or_none()
    return None if row is None else Team(row.id, row.name)


def _query() -> Select[Any]:
    return select(_tokens, _teams.c.name.label("team_name")).join(_teams, _teams.c.id == _tokens.c.team)


def _fetched(connection: Connection, team: Team, token_id: str) -> Token:
    query = _query().where(_tokens.c.id == token_id, _tokens.c.team == team.id)
    row = connection.execute(query).one_or_none()
    if row is None:
        raise NotFound("There is no such token.")
    return _token(row)


def _token(row: Row[Any]) -> Token:
    scopes = cast("tuple[Scope, ...]", tuple(row.scopes.split()))
    team = Team(row.team, row.team_name)
    return Token(row.id, team, row.name, scopes, row.created, row.expires, row.revoked, row.used)
