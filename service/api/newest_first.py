"""Lists that go from the newest to the oldest: a page, its cursor and its Link."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any, Protocol, TypeVar

from flask import Response, request

from service.api.answers import json_answer
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.state import parameter, state


class Listed(Protocol):
    """What such a list holds: things with a time and an id."""

    @property
    def created(self) -> datetime:
        """When it was made."""

    @property
    def id(self) -> str:
        """Its id, which decides between two of one time."""


Each = TypeVar("Each", bound=Listed)


def newest_first(
    filters: Mapping[str, Any],
    found: Callable[[int, tuple[datetime, str] | None], Sequence[Each]],
    written: Callable[[Each], Mapping[str, Any]],
) -> Response:
    """The page that the request asks for.

    ``found`` takes how many there may be and the time and id behind which they start; ``written`` makes one a document.
    """
    limit = parameter("limit")
    some, following = page_of(filters, limit, parameter("cursor"), found)
    items = [written(each) for each in some]
    if following is None:
        return json_answer({"items": items, "next": None})
    link = next_link(request.path, filters, limit, following)
    return json_answer({"items": items, "next": following}, headers={"Link": link})


def page_of(
    filters: Mapping[str, Any],
    limit: int,
    cursor: str | None,
    found: Callable[[int, tuple[datetime, str] | None], Sequence[Each]],
) -> tuple[Sequence[Each], str | None]:
    """What is on the page behind ``cursor``, and the cursor of the page that follows, if one does.

    ``found`` as above. Raises the 400 problem for a cursor that this list never gave.
    """
    key, scope = state().store.cursor_key(), scope_of(request.path, filters)
    after = None
    if cursor:
        created, last_id = read_cursor(key, scope, cursor)
        after = datetime.fromisoformat(created), last_id
    # One more than asked for tells whether there is another page.
    some = found(limit + 1, after)
    if len(some) <= limit:
        return some, None
    last = some[limit - 1]
    return some[:limit], write_cursor(key, scope, [last.created.isoformat(), last.id])
