"""Tokens: an administrator of a team makes, sees and revokes its own."""

from __future__ import annotations

from flask import Blueprint, Response

from service.api.answers import json_answer, nothing, read_answer
from service.api.bodies import read_body
from service.api.newest_first import newest_first
from service.api.preconditions import expected_of_compound, tag
from service.api.state import caller, state
from service.documents.access import token_to
from service.domain.access import SCOPES, Token
from service.domain.token_life import end_of, last_day_of

routes = Blueprint("tokens", __name__)


@routes.post("/v1/tokens")
def create_token() -> Response:
    """Make a token; this answer alone has it whole."""
    document, shared = read_body("TokenRequest"), state()
    expires = end_of(last_day_of(document.get("last_day"), shared.clock()))
    scopes = tuple(scope for scope in SCOPES if scope in document["scopes"])
    token, text = shared.store.access.make(caller().team, document["name"], scopes, expires)
    # The first one shuts the door behind it: in this process at once, in others when they next look.
    shared.door.forget(token.id)
    headers = {"Location": f"/v1/tokens/{token.id}", "ETag": tag(_tag(token)), "Cache-Control": "no-store"}
    return json_answer({**token_to(token), "token": str(text)}, 201, headers)


@routes.get("/v1/tokens")
def read_list() -> Response:
    """A page of the team's tokens, the newest first."""
    store, team = state().store.access, caller().team
    return newest_first({}, lambda limit, after: store.listed(team, limit, after), token_to)


@routes.get("/v1/tokens/<id>")
def read_token(id: str) -> Response:
    """One token, without its secret."""
    token = state().store.access.get(caller().team, id)
    return read_answer(token_to(token), _tag(token))


@routes.delete("/v1/tokens/<id>")
def revoke_token(id: str) -> Response:
    """Revoke a token; it stays on record."""
    shared = state()
    shared.store.access.revoke(caller().team, id, expected_of_compound())
    shared.door.forget(id)
    return nothing()


def _tag(token: Token) -> str:
    """Its revision, which a change is guarded by, and after a dot when it was last used."""
    return f"{token.revision}.{0 if token.used is None else int(token.used.timestamp())}"
