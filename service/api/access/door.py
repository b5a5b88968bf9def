"""The door: who a request comes from, by the token that it shows.

As long as the database has never had a token, whoever asks from this machine acts for the team ``default`` and may do
everything. From the first token on nobody is let in without one.
"""

from __future__ import annotations

import ipaddress
import time
from collections.abc import Callable
from datetime import datetime

from service.api.access.failed_attempts import FailedAttempts
from service.api.access.known_tokens import KnownTokens
from service.api.access.sessions import form_token, read_session, write_session
from service.api.metrics import Metrics
from service.api.problems import Problem
from service.domain.access import DEFAULT_TEAM, SCOPES, Caller, Scope, Token
from service.domain.token_text import TokenText, read_token, same_secret
from service.store import USED_EVERY, Store

_CHALLENGE = 'Bearer realm="traywright"'
_NO_DIGEST = "0" * 64


class Door:
    """Lets callers in. Shared by all threads; ``seconds`` is a clock that only goes on."""

    def __init__(
        self,
        root: Store,
        metrics: Metrics,
        clock: Callable[[], datetime],
        seconds: Callable[[], float] = time.monotonic,
    ) -> None:
        self._store, self._store_of = root.access, root.for_team
        self._metrics, self._clock = metrics, clock
        self._known = KnownTokens(root.access, seconds)
        self._failures = FailedAttempts(seconds)
        self._noted: dict[str, datetime] = {}
        self._everybody: Caller | None = None

    def caller(self, authorization: str | None, address: str) -> Caller:
        """Who shows this Authorization header from this address.

        Raises the 401 problem where that is nobody, and the 429 one after too many tokens that are not good.
        """
        if authorization is None:
            return self._without_token(address)
        scheme, _, text = authorization.partition(" ")
        shown = read_token(text.strip()) if scheme.lower() == "bearer" else None
        return self.by_token(shown, address)

    def by_token(self, shown: TokenText | None, address: str) -> Caller:
        """The caller of a token; None: what was shown is none. Raises as ``caller`` does."""
        self._slow_down(shown, address)
        held = self._known.held(shown.id) if shown else None
        # A secret is hashed and compared also where there is no such token: that takes as long as where there is.
        same = same_secret(shown.secret if shown else "", held.digest if held else _NO_DIGEST)
        now = self._clock()
        if held is None or not same or not held.token.good_at(now):
            self._failures.add(address)
            self._metrics.failed_sign_ins.labels("not good").inc()
            raise _refused(held.token if held and same else None)
        self._note_use(held.token, now)
        return Caller(held.token.team, frozenset(held.token.scopes), held.token)

    def signed_in(self, shown: TokenText | None, address: str) -> tuple[str, datetime]:
        """The cookie for who shows a token on a page, and when it ends; raises as ``caller`` does."""
        caller = self.by_token(shown, address)
        held = self._known.held(shown.id) if shown else None
        assert caller.token is not None and held is not None
        key = self._store_of(caller.team.id).cursor_key()
        return write_session(key, held.digest, caller.token.id, self._clock(), caller.token.expires)

    def by_session(self, cookie: str) -> Caller:
        """Who has signed in with this cookie; raises the 401 problem where it has ended or was never given."""
        session = read_session(cookie)
        held = self._known.held(session.token_id) if session else None
        now = self._clock()
        if session is None or held is None or now >= session.ends or not held.token.good_at(now):
            raise _signed_out()
        if not session.genuine(self._store_of(held.token.team.id).cursor_key(), held.digest):
            raise _signed_out()
        self._note_use(held.token, now)
        return Caller(held.token.team, frozenset(held.token.scopes), held.token)

    def form_token(self, caller: Caller, cookie: str) -> str:
        """What the forms of whoever has signed in with this cookie carry."""
        return form_token(self._store_of(caller.team.id).cursor_key(), cookie)

    def forget(self, token_id: str) -> None:
        """Have a token that was just made or revoked make its difference at once, in this process."""
        self._known.forget(token_id)

    def has_tokens(self) -> bool:
        """Whether callers need a token."""
        return self._known.any()

    def _without_token(self, address: str) -> Caller:
        if self._known.any() or not nearby(address):
            self._metrics.failed_sign_ins.labels("none").inc()
            raise Problem("unauthorised", "Send a token.", headers={"WWW-Authenticate": _CHALLENGE})
        if self._everybody is None:
            self._everybody = Caller(self._store.team(DEFAULT_TEAM), frozenset(SCOPES))
        return self._everybody

    def _slow_down(self, shown: TokenText | None, address: str) -> None:
        wait = self._failures.wait_s(address)
        if wait == 0:
            return
        # Behind one address there may be many people: whose secret this process knows goes on working. Whether the
        # token is still good is looked at afterwards, as ever.
        seen = self._known.seen(shown.id) if shown else None
        if seen is not None and shown is not None and same_secret(shown.secret, seen.digest):
            return
        self._metrics.failed_sign_ins.labels("too many").inc()
        detail = f"Nothing more from this address is looked at for {wait} s."
        raise Problem("too-many-failures", detail, headers={"Retry-After": str(wait)})

    def _note_use(self, token: Token, now: datetime) -> None:
        """At most once in some minutes a token, also where it cannot be noted: a busy database is not asked again."""
        noted = max(filter(None, (token.used, self._noted.get(token.id))), default=None)
        if noted is None or now - noted >= USED_EVERY:
            self._noted[token.id] = now
            self._store.note_use(token.id, now)


def insist_on(caller: Caller, scope: Scope) -> None:
    """Raise the 403 problem where the caller may not do what needs this scope."""
    if caller.may(scope):
        return
    challenge = f'{_CHALLENGE}, error="insufficient_scope", scope="{scope}"'
    raise Problem("not-allowed", f"This needs the scope {scope}.", headers={"WWW-Authenticate": challenge})


def nearby(address: str) -> bool:
    """Whether an address is one of this machine's own, which no other machine can reach it from."""
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def _signed_out() -> Problem:
    return Problem("unauthorised", "Sign in again.", headers={"WWW-Authenticate": _CHALLENGE})


def _refused(token: Token | None) -> Problem:
    """Only who has the secret is told what has become of the token."""
    detail = "The token is not good."
    if token is not None:
        detail = "The token was revoked." if token.revoked else "The token has expired."
    return Problem("unauthorised", detail, headers={"WWW-Authenticate": f'{_CHALLENGE}, error="invalid_token"'})
