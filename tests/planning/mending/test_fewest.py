"""The fewest things that have to give way."""

from __future__ import annotations

from service.planning.mending.fewest import fewest_given_up


def test_one_is_named_where_one_is_enough() -> None:
    """The first of those that are enough by themselves."""
    assert fewest_given_up("abc", lambda some: bool(some & {"b", "c"})) == ("b",)


def test_of_several_none_can_be_kept() -> None:
    """a and c are needed together; b is kept."""
    assert fewest_given_up("abc", lambda some: {"a", "c"} <= some) == ("a", "c")


def test_nothing_is_named_where_all_are_not_enough() -> None:
    """Neither where there is nothing to give up."""
    assert fewest_given_up("abc", lambda some: False) is None
    assert fewest_given_up("", lambda some: True) is None
