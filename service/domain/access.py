"""Who may do what: teams, tokens with their scopes, and callers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, get_args

Scope = Literal["read", "plan", "build", "order", "catalogue", "admin"]
SCOPES: tuple[Scope, ...] = get_args(Scope)
"""What can be allowed: reading; planning and removing plans; takeoffs and hung closures; orders and stock; changing the
catalogue; tokens and the record of changes. None includes another, but ``admin`` may do all."""

DEFAULT_TEAM = "default"
"""The team of whatever was stored before there were teams, and of a server without tokens."""


@dataclass(frozen=True, slots=True)
class Team:
    """Those who share a catalogue, plans, takeoffs, orders, a store and hung closures."""

    id: int
    name: str


@dataclass(frozen=True, slots=True)
class Token:
    """What a caller shows, without its secret. Good until ``expires``, unless it was revoked; ``used`` is coarse."""

    id: str
    team: Team
    name: str
    scopes: tuple[Scope, ...]
    created: datetime
    expires: datetime
    revoked: datetime | None = None
    used: datetime | None = None

    @property
    def revision(self) -> int:
        """1, and 2 once it is revoked: nothing else about it changes by anyone's will."""
        return 1 if self.revoked is None else 2

    def good_at(self, moment: datetime) -> bool:
        """Whether it opens anything at this moment."""
        return self.revoked is None and moment < self.expires


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks: a team with scopes, by a token, or without one (None) where the database has none yet."""

    team: Team
    scopes: frozenset[Scope]
    token: Token | None = None

    def may(self, scope: Scope) -> bool:
        """Whether what needs this scope is allowed."""
        return scope in self.scopes or "admin" in self.scopes
