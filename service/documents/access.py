"""Tokens and callers as documents. Nothing here has ever seen a secret."""

from __future__ import annotations

from typing import Any

from service.documents.order import moment_to
from service.domain.access import SCOPES, Caller, Token

Document = dict[str, Any]


def token_to(token: Token) -> Document:
    """Write what is said of a token; ``revoked`` and ``used`` are left out where it never was."""
    document: Document = {
        "id": token.id,
        "name": token.name,
        "team": token.team.name,
        "scopes": list(token.scopes),
        "created": moment_to(token.created),
        "expires": moment_to(token.expires),
        "revision": token.revision,
    }
    for member in ("revoked", "used"):
        moment = getattr(token, member)
        if moment is not None:
            document[member] = moment_to(moment)
    return document


def caller_to(caller: Caller) -> Document:
    """Write who asks; ``token`` is left out where no token is needed."""
    document: Document = {
        "team": caller.team.name,
        "scopes": [scope for scope in SCOPES if caller.may(scope)],
    }
    if caller.token is not None:
        document["token"] = token_to(caller.token)
    return document
