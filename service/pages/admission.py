"""Who may see a page, and who may send its form: the same scopes as over HTTP.

What a page is made of (style, script, picture) is for anybody.
"""

from __future__ import annotations

from flask import g, request

from service.api.access.asking import let_in
from service.api.state import state
from service.domain.access import Scope
from service.pages.blueprint import routes

_SENDING: dict[str, Scope] = {
    "fit": "plan",
    "takeoffs": "build",
    "orders": "order",
    "plans": "order",
}
"""What sending a form needs, by the first part of its address; anything else needs an administrator."""
_FOR_ANYBODY = ("pages.read_asset",)


@routes.before_request
def admit() -> None:
    """Raise the 401, 403 and 429 problems where the page is not for who asks."""
    if request.endpoint not in _FOR_ANYBODY and request.method != "OPTIONS":
        g.caller = let_in(state().door, needed(request.method, request.path))


def needed(method: str, path: str) -> Scope:
    """The scope that a page or its form needs."""
    if method in ("GET", "HEAD"):
        return "read"
    return _SENDING.get(path.strip("/").partition("/")[0], "admin")
