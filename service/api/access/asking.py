"""Who sent the request that is being handled."""

from __future__ import annotations

from flask import g, request

from service.api.access.door import Door, insist_on, nearby
from service.domain.access import Caller, Scope
from service.domain.audit import Actor
from service.store import acts

_READING = ("GET", "HEAD")
_FORWARDED = ("Forwarded", "X-Forwarded-For", "X-Real-IP")


def enter(caller: Caller) -> None:
    """From now on this request is the caller's, and what it changes goes on record as done by the caller."""
    g.caller = caller
    acts(Actor("no token") if caller.token is None else Actor(caller.token.name, caller.token.id))


def let_in(door: Door, scope: Scope) -> Caller:
    """The caller, where the scope is among what it may do; raises the 401, 403 and 429 problems."""
    caller = asking(door)
    insist_on(caller, scope)
    return caller


def asking(door: Door, changing: bool = False) -> Caller:
    """Who asks: by its token, or where it only reads by the cookie of a page; raises the 401 and 429 problems.

    ``changing``: the cookie will do for a change as well, since the page has looked at what its form carries.
    """
    header, cookie = request.headers.get("Authorization"), shown_cookie()
    if header is None and cookie is not None and (changing or request.method in _READING):
        return door.by_session(cookie)
    return door.caller(header, request.remote_addr or "")


def shown_cookie() -> str | None:
    """The cookie of who has signed in on a page of this server."""
    return request.cookies.get(cookie_name())


def cookie_name() -> str:
    """The name of that cookie; by its prefix browsers keep a secure one to this very host."""
    return "__Host-traywright" if is_secure() else "traywright"


def is_secure() -> bool:
    """Whether a cookie is for https alone: always, but for plain http on this machine itself."""
    host = request.host.rpartition(":")[0] if request.host.rpartition(":")[2].isdigit() else request.host
    return request.is_secure or not (host == "localhost" or nearby(host.strip("[]")))


def is_nearby() -> bool:
    """Whether the request comes from a program on this machine, and was not passed on by a proxy there."""
    return nearby(request.remote_addr or "") and not any(name in request.headers for name in _FORWARDED)
