"""Figures, counts and columns as they are written on a sheet."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.sheets.layout import WIDTH, columns, counted, listed, number, quantity, sentence


@pytest.mark.parametrize(("value", "told"), [(12.0, "12"), (3.44, "3.4"), (0.0, "0"), (1027.6, "1027.6"), (100, "100")])
def test_a_figure_has_one_decimal_or_none(value: float, told: str) -> None:
    """Lengths are told to a tenth of a millimetre, whole ones without a nought behind the point."""
    assert number(value) == told


@pytest.mark.parametrize(("value", "told"), [("2.40", "2.4"), ("100", "100"), ("0.0008", "0.0008"), ("10.00", "10")])
def test_a_quantity_keeps_what_was_counted(value: str, told: str) -> None:
    """Fractions of a tool's life stay exact; noughts behind the point go, those before it stay."""
    assert quantity(Decimal(value)) == told


def test_words_are_counted_and_listed_as_people_do() -> None:
    """One has no plural, and the last of several has an and before it."""
    assert [counted(1, "tray"), counted(0, "tray"), counted(2, "entry", "entries")] == [
        "1 tray",
        "0 trays",
        "2 entries",
    ]
    assert [listed([]), listed(["A"]), listed(["A", "B"]), listed(["A", "B", "C"])] == [
        "",
        "A",
        "A and B",
        "A, B and C",
    ]
    assert [sentence("a note"), sentence("Done."), sentence("")] == ["A note.", "Done.", ""]


@given(st.lists(st.tuples(st.text("abc", max_size=9), st.text("xyz ", max_size=200)), min_size=1, max_size=8))
def test_columns_keep_every_word_and_the_width(rows: list[tuple[str, str]]) -> None:
    """Wrapping loses no word of the last cell, and no line of ordinary words is wider than the sheet."""
    short = [(first, " ".join(word[:12] for word in last.split())) for first, last in rows]
    lines = columns(short)
    assert " ".join(lines).split() == " ".join(f"{first} {last}" for first, last in short).split()
    assert all(len(line) <= WIDTH for line in lines)
