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
    key, limit, cursor = state().store.cursor_key(), parameter("limit"), parameter("cursor")
    scope = scope_of(request.path, filters)
    after = None
    if cursor:
        created, last_id = read_cursor(key, scope, cursor)
        after = datetime.fromisoformat(created), last_id
    # One more than asked for tells whether there is another page.
    some = found(limit + 1, after)
    items = [written(each) for each in some[:limit]]
    if len(some) <= limit:
        return json_answer({"items": items, "next": None})
    last = some[limit - 1]
    following = write_cursor(key, scope, [last.created.isoformat(), last.id])
    link = next_link(request.path, filters, limit, following)
    return json_answer({"items": items, "next": following}, headers={"Link": link})
