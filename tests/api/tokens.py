"""Tokens in tests."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from flask import Flask

from service.domain.access import DEFAULT_TEAM, Scope, Token
from service.store import Store


def made(store: Store, *scopes: Scope, team: str = DEFAULT_TEAM, days: float = 1) -> tuple[Token, dict[str, str]]:
    """A token with these scopes that is good for so many days, and the header that shows it."""
    access = store.access
    token, text = access.make(access.made_team(team), "Test", scopes, datetime.now(UTC) + timedelta(days=days))
    return token, {"Authorization": f"Bearer {text}"}


def bearer(app: Flask, *scopes: Scope, team: str = DEFAULT_TEAM) -> dict[str, str]:
    """The header of a new token of the application's store; the application knows of it at once."""
    shared = app.extensions["traywright"]
    _, headers = made(shared.store, *scopes, team=team)
    shared.door._known._asked = None
    return headers
