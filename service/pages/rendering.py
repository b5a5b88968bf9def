"""A template as an answer."""

from __future__ import annotations

import re
from typing import Any

from flask import Response, redirect, render_template, request
from markupsafe import Markup

from service.sheets.safe_text import TURNING

_KEY = re.compile(r"[0-9a-z-]{1,80}\Z")


def page(template: str, status: int = 200, **values: Any) -> Response:
    """The page of a template with these values."""
    return Response(render_template(template, **values), status, content_type="text/html; charset=utf-8")


def as_shown(value: Any) -> Any:
    """What a template is about to write, without letters that would turn the words after it around."""
    if not isinstance(value, str) or value.isascii() or TURNING.isdisjoint(value):
        return value
    kept = "".join(letter for letter in value if letter not in TURNING)
    return Markup(kept) if isinstance(value, Markup) else kept


def see(address: str) -> Response:
    """Send the browser on to read what has come of a form, so that reloading does not send the form again."""
    answer = redirect(address, 303)
    assert isinstance(answer, Response)
    return answer


def sent_key() -> str | None:
    """The key of a form, by which one that is sent twice is taken once; None where it is none that we gave."""
    key = request.form.get("key", "")
    return key if _KEY.match(key) else None
