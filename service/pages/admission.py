"""Who may see a page, and who may send its form: the same scopes as over HTTP.

What a page is made of (style, script, picture) is for anybody, and so are the page to sign in on, the guide and the
reference, which say nothing of anybody's work.
"""

from __future__ import annotations

import hmac
from urllib.parse import urlencode

from flask import Response, g, request
from werkzeug.exceptions import Forbidden

from service.api.access.asking import asking, enter, shown_cookie
from service.api.access.door import insist_on
from service.api.problems import Problem
from service.api.rate.counting import count_request
from service.api.state import state
from service.domain.access import Scope
from service.pages.blueprint import routes
from service.pages.rendering import see

FORM_TOKEN = "form-token"
_SENDING: dict[str, Scope] = {
    "fit": "plan",
    "takeoffs": "build",
    "orders": "order",
    "installations": "build",
    "plans": "build",
}
"""What sending a form needs, by the first part of its address; anything else needs an administrator."""
_PART_OF_PAGES = "pages.read_asset"
"""Style, script and picture: what every page brings with it is not counted beside the page."""
_FOR_ANYBODY = ("pages.show_sign_in", "pages.sign_in", "pages.sign_out")
_ABOUT = "/docs"
_READING = ("GET", "HEAD")
_FORM_PARTS = 20


@routes.before_request
def admit() -> Response | None:
    """Send who is to see a page and has not signed in to where that is done.

    Counts the request. Raises the 401, 403 and 429 problems where the page, or what its form does, is not for who asks,
    and 403 where a form does not carry what this server gave it.
    """
    if request.endpoint == _PART_OF_PAGES:
        return None
    if request.endpoint in _FOR_ANYBODY or request.method == "OPTIONS" or _is_about(request.path):
        count_request()
        return None
    reading = request.method in _READING
    try:
        caller = asking(state().door, changing=True)
    except Problem as problem:
        if problem.status != 401 or not reading or "Authorization" in request.headers:
            raise
        count_request()
        return see("/sign-in?" + urlencode({"next": request.full_path.rstrip("?")}))
    insist_on(caller, needed(request.method, request.path))
    enter(caller)
    count_request()
    if not reading:
        _insist_on_own_form()
    return None


def _is_about(path: str) -> bool:
    return path == _ABOUT or path.startswith(f"{_ABOUT}/")


def needed(method: str, path: str) -> Scope:
    """The scope that a page or its form needs."""
    if method in _READING:
        return "read"
    return _SENDING.get(path.strip("/").partition("/")[0], "admin")


def own_form_token() -> str | None:
    """What the forms of a page carry for who has signed in with a cookie; None for who has not."""
    cookie = shown_cookie()
    if cookie is None or "caller" not in g or g.caller.token is None:
        return None
    return state().door.form_token(g.caller, cookie)


def _insist_on_own_form() -> None:
    """Raise 403 where a cookie was sent with a form that no page of this server made for it."""
    expected = own_form_token()
    if expected is None or "Authorization" in request.headers:
        return
    if request.path == "/takeoffs":
        # The form is read here for the first time, file and all.
        request.max_content_length = state().settings.takeoff_limit
        request.max_form_parts = _FORM_PARTS
    if not hmac.compare_digest(request.form.get(FORM_TOKEN, "").encode(), expected.encode()):
        raise Forbidden("This form is not one that you were given since you signed in, so nothing was changed.")


@routes.app_context_processor
def _signed_in() -> dict[str, object]:
    token = own_form_token()
    return {"form_token": token, "team": g.caller.team.name if token is not None else None}
