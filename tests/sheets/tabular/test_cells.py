"""Cells as spreadsheets leave them are read as what was meant, or refused where that is not known."""

from __future__ import annotations

from typing import Any

import pytest

from service.sheets.tabular.cells import NotReadable, Odd, bare, value_in
from service.sheets.tabular.shape import Column, Value

READ: list[tuple[Value, object, Any]] = [
    ("text", "0012", "0012"),
    ("text", 12, "12"),
    ("text", 12.0, "12"),
    ("text", 1.5, "1.5"),
    ("text", "=SUM(A1)", "=SUM(A1)"),
    ("whole", "12", 12),
    ("whole", 12.0, 12),
    ("whole", "12,0", 12),
    ("number", "7,5", 7.5),
    ("number", "7.5", 7.5),
    ("number", "0,125", 0.125),
    ("number", "1.234", 1.234),
    ("number", "-4", -4),
    ("number", "1,5E+02", 150),
    ("number_or_text", "recorded", "recorded"),
    ("number_or_text", "0,05", 0.05),
    ("number_or_text", 0.05, 0.05),
    ("yes_no", True, True),
    ("yes_no", "YES", True),
    ("yes_no", "no", False),
    ("yes_no", "FALSE", False),
    ("money", 12.5, "12.50"),
    ("money", 12, "12.00"),
    ("money", 0.1 + 0.2, "0.30"),
    ("money", "12.5", "12.5"),
    ("money", "12,50", "12.50"),
    ("money", 12.505, "12.505"),
    ("list", "dome-48, dome-72;inline-24  hub", ["dome-48", "dome-72", "inline-24", "hub"]),
    ("list", 48, ["48"]),
    ("choice", "Dome", "dome"),
]
REFUSED: list[tuple[Value, object, str]] = [
    ("text", True, "no_text"),
    ("text", "x" * 5001, "too_long"),
    ("text", Odd("day", "A day."), "day"),
    ("whole", "1,5", "no_whole_number"),
    ("whole", 1.5, "no_whole_number"),
    ("number", "1,234", "no_number"),
    ("number", "12,345", "no_number"),
    ("number", "1 234", "no_number"),
    ("number", "1.234,5", "no_number"),
    ("number", "twelve", "no_number"),
    ("number", "nan", "no_number"),
    ("number", True, "no_number"),
    ("number", float("inf"), "no_number"),
    ("number", float("nan"), "no_number"),
    ("number", "9" * 15 + "E300", "no_number"),
    ("number", "１２", "no_number"),
    ("yes_no", "maybe", "no_choice"),
    ("yes_no", 1, "no_choice"),
    ("money", "1,234", "no_number"),
    ("money", "free", "no_number"),
    ("choice", "box", "no_choice"),
]


def column(value: Value) -> Column:
    return Column("x", ("x",), value, ("dome", "inline") if value == "choice" else ())


@pytest.mark.parametrize(("value", "cell", "meant"), READ)
def test_what_can_be_told_is_read(value: Value, cell: object, meant: Any) -> None:
    """A number as text, text as a number, a decimal comma, a truth: as the column has it, and of the same type."""
    found = value_in(cell, column(value))
    assert (found, type(found)) == (meant, type(meant))


@pytest.mark.parametrize(("value", "cell", "code"), REFUSED)
def test_what_is_not_known_is_refused(value: Value, cell: object, code: str) -> None:
    """A comma before three digits may mean either, a day may have been a range: nothing is guessed."""
    with pytest.raises(NotReadable) as refusal:
        value_in(cell, column(value))
    assert refusal.value.code == code


def test_blanks_about_a_text_are_nobodys_meaning() -> None:
    """They go, those that do not break too; a cell of blanks alone is empty."""
    assert (bare("  a b\u00a0 "), bare(" \t\u00a0"), bare(0), bare(None)) == ("a b", None, 0, None)
