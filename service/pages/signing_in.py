"""Signing in with a token, and out again."""

from __future__ import annotations

from flask import Response, request

from service.api.access.asking import cookie_name, is_secure
from service.api.problems import Problem
from service.api.state import state
from service.domain.token_text import read_token
from service.pages.blueprint import routes
from service.pages.rendering import page, see


@routes.get("/sign-in")
def show_sign_in() -> Response:
    """The form for the token; where none is needed yet, the start."""
    if not state().door.has_tokens():
        return see("/")
    return _shown(_next(request.args.get("next", "")))


@routes.post("/sign-in")
def sign_in() -> Response:
    """Take the token and give a cookie for it, which scripts cannot read and other sites cannot have sent."""
    shared, onward = state(), _next(request.form.get("next", ""))
    try:
        shown = read_token(request.form.get("token", "").strip())
        cookie, ends = shared.door.signed_in(shown, request.remote_addr or "")
    except Problem as problem:
        if problem.status != 401:
            raise
        return _shown(onward, problem.detail, 401)
    answer = see(onward)
    lasts = int((ends - shared.clock()).total_seconds())
    answer.set_cookie(
        cookie_name(), cookie, max_age=max(lasts, 0), path="/", secure=is_secure(), httponly=True, samesite="Strict"
    )
    return answer


@routes.post("/sign-out")
def sign_out() -> Response:
    """Have the browser forget the cookie. The token stays as good as it was."""
    answer = see("/sign-in")
    answer.delete_cookie(cookie_name(), path="/", secure=is_secure(), httponly=True, samesite="Strict")
    return answer


def _shown(onward: str, mistake: str | None = None, status: int = 200) -> Response:
    """The form. Where the way here is not https, a browser keeps no cookie of ours, and that is said beforehand."""
    encrypted = request.is_secure or request.headers.get("X-Forwarded-Proto", "").lower() == "https"
    return page("sign_in.html", status, next=onward, mistake=mistake, kept=encrypted or not is_secure())


def _next(address: str) -> str:
    """Where to go on to: a page of this server, never an address of another one."""
    own = address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
    return address if own and "\\" not in address else "/"
