"""Lists newest first on pages: what is searched for, and the address of the page that follows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TypeVar
from urllib.parse import urlencode

from flask import request

from service.api.newest_first import Listed, page_of

PER_PAGE = 40
Each = TypeVar("Each", bound=Listed)


def search_text() -> str:
    """The part of a name that is searched for, as it was typed."""
    return request.args.get("name", "").strip()[:200]


def newest(
    found: Callable[[int, tuple[datetime, str] | None, str | None], Sequence[Each]],
    **more: str,
) -> tuple[Sequence[Each], str | None]:
    """A page of what has the searched name, and the address of the next page; None: this is the last one.

    ``found`` takes how many, the time and id behind which to start, and the part of the name or None. ``more`` is what
    else narrows the list, by the parameter that says so.
    """
    text = search_text() or None
    filters = {"name": text, **more}
    some, following = page_of(
        filters, PER_PAGE, request.args.get("cursor") or None, lambda limit, after: found(limit, after, text)
    )
    if following is None:
        return some, None
    return some, f"{request.path}?{urlencode({'name': text or '', **more, 'cursor': following})}"
