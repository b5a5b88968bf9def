"""The request that is being handled, counted for whoever sent it."""

from __future__ import annotations

from collections.abc import Mapping

from flask import g, request

from service.api.access.failed_attempts import network_of
from service.api.state import state

_NONE: Mapping[str, str] = {}
NOT_COUNTED = ("/healthz", "/readyz", "/metrics")
"""What looks after the service is not told to come back later."""


def count_request() -> None:
    """Count this request for the token that it shows, else for its address; raises the 429 problem.

    Called when it is known who asks: what was not let in is counted elsewhere (``failed_attempts``).
    """
    limiter = state().limiter
    if limiter is None or request.path in NOT_COUNTED:
        return
    caller = g.get("caller")
    if caller is not None and caller.token is not None:
        g.standing, problem = limiter.count("token", caller.token.id)
    else:
        g.standing, problem = limiter.count("address", network_of(request.remote_addr or ""))
    if problem is not None:
        raise problem


def standing_headers() -> Mapping[str, str]:
    """The header fields that tell the caller how it stands; none where nothing was counted."""
    standing = g.get("standing")
    return _NONE if standing is None else standing.headers
