"""Cursors: opaque, signed, and good for one list with its filters."""

from __future__ import annotations

import string

import pytest

from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.problems import Problem

KEY = b"k" * 32
SCOPE = scope_of("/v1/trays", {"retired": False, "text": None})


def test_a_cursor_leads_back_to_its_place() -> None:
    """What was written is read, whatever characters are in it."""
    for place in (["r6"], ["2026-03-02T09:30:00+00:00", "0" * 32], ["é 😀"]):
        assert read_cursor(KEY, SCOPE, write_cursor(KEY, SCOPE, place)) == place


def test_a_cursor_that_was_changed_anywhere_is_refused() -> None:
    """No other character in any place makes a cursor, the spare bits of the last one included."""
    cursor = write_cursor(KEY, SCOPE, ["r6"])
    for index, right in enumerate(cursor):
        for other in set(string.ascii_letters + string.digits + "-_") - {right}:
            with pytest.raises(Problem) as problem:
                read_cursor(KEY, SCOPE, cursor[:index] + other + cursor[index + 1 :])
            assert problem.value.status == 400


@pytest.mark.parametrize("cursor", ["A", "AAAA", "A" * 600, "_-_-"])
def test_a_made_up_cursor_is_refused(cursor: str) -> None:
    """Text that only looks like a cursor is none."""
    with pytest.raises(Problem):
        read_cursor(KEY, SCOPE, cursor)


def test_a_cursor_of_another_list_key_or_filter_is_refused() -> None:
    """It was signed for one list with its filters."""
    cursor = write_cursor(KEY, SCOPE, ["r6"])
    for key, scope in (
        (b"other" * 8, SCOPE),
        (KEY, scope_of("/v1/sleeves", {"retired": False})),
        (KEY, scope_of("/v1/trays", {"retired": True})),
        (KEY, scope_of("/v1/trays", {})),
    ):
        with pytest.raises(Problem):
            read_cursor(key, scope, cursor)


def test_the_link_keeps_filters_and_limit() -> None:
    """RFC 8288: the target in angle brackets, the relation behind it, everything escaped."""
    link = next_link("/v1/trays", {"text": 'a "b"&c', "retired": True}, 5, "abc")
    assert link == '</v1/trays?retired=true&text=a+%22b%22%26c&limit=5&cursor=abc>; rel="next"'
