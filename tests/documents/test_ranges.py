"""Ribbon and fibre numbers as text."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.ranges import RangeError, format_ranges, parse_ranges


@pytest.mark.parametrize(
    ("text", "ranges"),
    [
        ("3", ((3, 3),)),
        ("1-12", ((1, 12),)),
        ("1-4,9-12", ((1, 4), (9, 12))),
        ("9-12,1-4", ((9, 12), (1, 4))),
        ("7-7", ((7, 7),)),
        ("1-999999999", ((1, 999_999_999),)),
        ("2,2", ((2, 2), (2, 2))),
    ],
)
def test_ranges_are_read_in_the_order_written(text: str, ranges: tuple[tuple[int, int], ...]) -> None:
    """The two sides of a joint pair off in order, so nothing is sorted or merged."""
    assert parse_ranges(text) == ranges


@pytest.mark.parametrize(
    "text",
    ["", "0", "01", "1-", "-1", "1,,2", "1-2-3", "1 - 2", "1-12\n", "a", "1.5", "1" * 10, "１", "+1", "1;2", "1,"],
)
def test_what_is_no_range_is_refused(text: str) -> None:
    """Also a trailing newline, digits of other alphabets, and numbers of ten digits."""
    with pytest.raises(RangeError):
        parse_ranges(text)


def test_a_range_that_runs_backwards_is_read_as_it_stands() -> None:
    """What it means is for the planner to refuse, with all other faults of the joints."""
    assert parse_ranges("1-4,5-1") == ((1, 4), (5, 1))


RANGE = st.tuples(st.integers(1, 999_999_999), st.integers(1, 999_999_999)).map(lambda pair: (min(pair), max(pair)))


@settings(max_examples=200, deadline=None, database=None, derandomize=True)
@given(ranges=st.lists(RANGE, min_size=1, max_size=20).map(tuple))
def test_ranges_are_written_as_they_are_read(ranges: tuple[tuple[int, int], ...]) -> None:
    """Writing and reading give the same ranges, however large."""
    assert parse_ranges(format_ranges(ranges)) == ranges
