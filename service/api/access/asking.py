"""Who sent the request that is being handled."""

from __future__ import annotations

from flask import request

from service.api.access.door import Door, insist_on, nearby
from service.domain.access import Caller, Scope

_FORWARDED = ("Forwarded", "X-Forwarded-For", "X-Real-IP")


def let_in(door: Door, scope: Scope) -> Caller:
    """The caller, where the scope is among what it may do; raises the 401, 403 and 429 problems."""
    caller = door.caller(request.headers.get("Authorization"), request.remote_addr or "")
    insist_on(caller, scope)
    return caller


def is_nearby() -> bool:
    """Whether the request comes from a program on this machine, and was not passed on by a proxy there."""
    return nearby(request.remote_addr or "") and not any(name in request.headers for name in _FORWARDED)
