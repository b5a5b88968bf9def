"""CSV: RFC 4180 to the letter, exact figures, and no text that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.sheets.csv_table import csv_parts, csv_table
from service.sheets.materials_csv import materials_csv, points_csv
from service.sheets.order_csv import HEAD, order_csv
from service.sheets.safe_text import not_a_formula, plain_text
from tests.sheets.small_order import ITEMS, LINES, MISCHIEF, ORDER, points


def _read(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode(), newline=""), strict=True))


def test_line_ends_quotes_and_commas_are_as_the_standard_has_them() -> None:
    """CR and LF end every line, the last one too; what has commas or quotes is quoted, quotes doubled (RFC 4180, 2)."""
    told = csv_table(("a", "b"), [("x,y", 'a "b"'), ("plain", None)])
    assert told == b'a,b\r\n"x,y","a ""b"""\r\nplain,\r\n'


@pytest.mark.parametrize("lead", ["=", "+", "-", "@", "  =", "\t=", "\uff1d"])
def test_text_that_looks_like_a_formula_has_an_apostrophe(lead: str) -> None:
    """Whatever starts a formula in a spreadsheet, blanks before it or not, is led by an apostrophe."""
    assert not_a_formula(f"{lead}1+1").startswith("'")


@pytest.mark.parametrize("text", ["", "  ", "A-1", "1=1", "'=1", "dome-48"])
def test_other_text_stays_as_it_is(text: str) -> None:
    """An apostrophe goes before nothing else."""
    assert not_a_formula(text) == text


@given(st.text())
def test_plain_text_has_one_line_and_no_control_characters(text: str) -> None:
    """What is left can be written to any sheet, and ordinary text is left alone."""
    plain = plain_text(text)
    plain.encode()
    assert len(plain.splitlines()) <= 1
    assert not any(ord(letter) < 32 or 0x7F <= ord(letter) < 0xA0 for letter in plain)
    if text.isprintable():
        assert plain == text


@given(st.lists(st.lists(st.text(), min_size=2, max_size=2), max_size=5))
def test_every_table_reads_back(cells: list[list[str]]) -> None:
    """A strict reader finds the cells again: plain text, and an apostrophe where there is one."""
    assert _read(csv_table(("a", "b"), cells)) == [
        ["a", "b"],
        *([not_a_formula(cell) for cell in row] for row in cells),
    ]


def test_numbers_are_exact_and_never_taken_for_formulas() -> None:
    """Decimals keep their digits, without exponents or thousands; a negative number is a number."""
    told = csv_table(("a",), [(Decimal("1E+3"),), (Decimal("0.000001"),), (Decimal("-2.50"),), (1234567,)])
    assert told == b"a\r\n1000\r\n0.000001\r\n-2.50\r\n1234567\r\n"


def test_an_order_has_a_line_an_item_with_its_sources() -> None:
    """Quantities, packs, money, pooled and separate spares, and the plans and takeoffs of each line."""
    head, *lines = _read(order_csv(ORDER))
    assert head == list(HEAD)
    assert len(lines) == len(LINES)
    sleeve = dict(zip(head, lines[1], strict=True))
    assert (sleeve["quantity"], sleeve["packs"], sleeve["price"], sleeve["currency"]) == ("310", "31", "620.00", "EUR")
    assert (sleeve["spares_pooled"], sleeve["spares_separate"]) == ("22", "48")
    assert sleeve["sources"] == "plan:p-1 takeoff:t-1"
    assert lines[2][2] == f"'{MISCHIEF}"
    assert (lines[3][11], lines[3][12], lines[4][16]) == ("", "", "yes")


def test_materials_add_up_to_what_the_items_say() -> None:
    """A line an item, and by splice point a line an item of each."""
    head, *lines = _read(materials_csv(ITEMS))
    assert [line[head.index("quantity")] for line in lines] == ["3", "84", "0.048", "12"]
    head, *lines = _read(b"".join(points_csv(points())))
    for item in ITEMS:
        told = [Decimal(line[5]) for line in lines if (line[3], line[4]) == item.item]
        assert sum(told) == item.quantity


def test_a_long_table_comes_in_parts() -> None:
    """Parts go out while the rows come, and together are the whole table."""
    rows = [(str(number),) for number in range(3_000)]
    seen: list[int] = []
    parts = csv_parts(("n",), (seen.append(1) or row for row in rows))  # type: ignore[func-returns-value]
    first = next(parts)
    assert len(seen) < 1_500
    assert first + b"".join(parts) == csv_table(("n",), rows)
