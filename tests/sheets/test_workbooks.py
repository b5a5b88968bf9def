"""Workbooks: heads that stay, numbers that are numbers, sums that are formulas and right, text that stays text."""

from __future__ import annotations

import zipfile
from decimal import Decimal
from io import BytesIO

import pytest

from service.domain.order import Item
from service.sheets.materials_workbook import materials_xlsx
from service.sheets.order_workbook import order_xlsx
from service.sheets.points_sheet import points_sheets
from service.sheets.rows import PointRow
from service.sheets.workbook import Book, Column, cell_name
from tests.sheets.read_back import opened, rows, sums
from tests.sheets.small_order import CREATED, ITEMS, LINES, MISCHIEF, ORDER, points

BOOKS = {
    "order": lambda: order_xlsx(ORDER),
    "order by point": lambda: order_xlsx(ORDER, points()),
    "materials": lambda: materials_xlsx("Ferrow Lane", CREATED, ITEMS, points()),
}


@pytest.mark.parametrize("name", BOOKS)
def test_every_sum_is_a_formula_with_its_value(name: str) -> None:
    """Each formula's value in the file is what its cells come to, for readers that do not calculate."""
    found = sums(BOOKS[name]())
    assert len(found) >= 4
    for told, calculated in found.values():
        assert told == pytest.approx(calculated, abs=1e-9)


@pytest.mark.parametrize("name", BOOKS)
def test_text_that_looks_like_a_formula_stays_text(name: str) -> None:
    """The only formulas are sums; the mischief is there, as text, and no link was made of it."""
    book = opened(BOOKS[name]())
    formulas = [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    assert all(formula.startswith(("=SUM(", "=SUMIF(")) for formula in formulas)
    found = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value == MISCHIEF]
    assert found and all(cell.data_type == "s" and cell.hyperlink is None for cell in found)


@pytest.mark.parametrize("name", BOOKS)
def test_the_same_rows_make_the_same_bytes(name: str) -> None:
    """Twice the same; the date in the file is the one given, and no part of the archive has another."""
    content = BOOKS[name]()
    assert content == BOOKS[name]()
    assert opened(content).properties.created == CREATED.replace(tzinfo=None, microsecond=0)
    with zipfile.ZipFile(BytesIO(content)) as archive:
        assert {info.date_time[0] for info in archive.infolist()} == {1980}


@pytest.mark.parametrize("name", BOOKS)
def test_heads_stay_in_sight(name: str) -> None:
    """Every sheet is frozen under its head."""
    for sheet in opened(BOOKS[name]()):
        assert sheet.freeze_panes in {"A2", "C2", "C3"}


def test_numbers_are_written_as_such() -> None:
    """Whole quantities without decimals, broken ones with theirs, money with cents."""
    book = opened(order_xlsx(ORDER))
    sheet = book["By item"]
    assert [sheet[cell].number_format for cell in ("E2", "E4", "M2")] == ["#,##0", "#,##0.0#####", "#,##0.00"]
    assert [sheet[cell].value for cell in ("E2", "E4", "M2")] == [14, 0.576, 1422]


def test_an_order_tells_its_lines_and_sums() -> None:
    """A row a line, in order; the sums by currency are those of the order; an unpriced line has no price."""
    book = opened(order_xlsx(ORDER), values=True)
    assert book.sheetnames == ["Order", "By item", "By source"]
    head, *told = rows(book["By item"])
    assert [row[1] for row in told[: len(LINES)]] == [line.item for line in LINES]
    assert (told[3][11], told[3][12]) == (None, None)
    at = {name: place for place, name in enumerate(head)}
    assert [(row[2], row[at["Price"]], row[at["Currency"]]) for row in told[len(LINES) :]] == [
        ("Sum in EUR", 2042, "EUR"),
        ("Sum in USD", 60, "USD"),
    ]
    front = {row[0]: row[1] for row in rows(book["Order"])}
    assert (front["Sum in EUR"], front["Supplier"]) == (2042, "-Kabel & Muffe Łódź, 漢字")


def test_an_order_from_plans_alone_has_its_sheet_by_splice_point() -> None:
    """Every plan is a splice point, so no other sheet is needed."""
    plans = ORDER.__class__(**{name: getattr(ORDER, name) for name in ORDER.__slots__} | {"sources": ORDER.sources[:1]})
    book = opened(order_xlsx(plans), values=True)
    assert book.sheetnames == ["Order", "By item", "By splice point"]
    assert rows(book["By splice point"])[2][:5] == (1, "Handhole 7", "plan:p-1", 2, 28)


def test_points_come_with_an_order_where_they_are_given() -> None:
    """Beside the sources there is a sheet by splice point."""
    assert opened(order_xlsx(ORDER, points())).sheetnames == ["Order", "By item", "By source", "By splice point"]


def test_the_two_sheets_of_a_build_come_to_the_same() -> None:
    """What the sheet by splice point adds up for an item and a currency is what the sheet by item says."""
    book = opened(materials_xlsx("Ferrow Lane", CREATED, ITEMS, points()), values=True)
    head, titles, *told = rows(book["By splice point"])
    foot = dict(zip(head, told[-1], strict=True))
    assert [foot[item.code] for item in ITEMS] == [float(item.quantity) for item in ITEMS]
    assert (foot["Price EUR"], foot["Price USD"]) == (535.5, 120)
    by_item = {row[2]: row[8] for row in rows(book["By item"])}
    assert (by_item["Sum in EUR"], by_item["Sum in USD"]) == (535.5, 120)
    assert titles[-1] == "Seal"


def test_points_beyond_a_sheet_go_to_the_next() -> None:
    """Each sheet has its own head and its own sums."""
    book = Book("Long", CREATED)
    items = [(item.item, item.title) for item in ITEMS]
    points_sheets(book, "By splice point", items, ["EUR", "USD"], points(9), rows_most=6)
    content = book.finish()
    told = opened(content, values=True)
    assert told.sheetnames == ["By splice point", "By splice point 2", "By splice point 3"]
    assert [rows(sheet)[-1][5] for sheet in told] == [4, 4, 1]
    assert all(value == pytest.approx(calculated) for value, calculated in sums(content).values())


def test_an_item_without_a_column_is_an_error() -> None:
    """Nothing that a point needs is left out in silence."""
    book = Book("Short", CREATED)
    stray = PointRow(1, "one", None, {Item("tray", "r6"): Decimal(1)})
    with pytest.raises(KeyError):
        points_sheets(book, "By splice point", [], (), [stray])
    book.finish()


def test_a_build_without_points_or_items_is_still_a_workbook() -> None:
    """Heads alone, no sums over nothing."""
    book = opened(materials_xlsx("", CREATED, ()))
    assert [len(rows(sheet)) for sheet in book] == [1, 2]


def test_long_and_odd_text_does_not_break_a_sheet() -> None:
    """Control characters go, and text beyond what a cell takes is cut."""
    book = Book("Odd\x00", CREATED)
    sheet = book.sheet("Odd", [Column("a")])
    sheet.row(["a\x00b\nc\ud800"])
    sheet.row(["x" * 40_000])
    told = rows(opened(book.finish())["Odd"])
    assert told[1] == ("ab c",)
    assert len(told[2][0]) == 32_767


@pytest.mark.parametrize(("row", "place", "name"), [(0, 0, "A1"), (9, 25, "Z10"), (0, 26, "AA1"), (1, 16_383, "XFD2")])
def test_cells_are_named_as_spreadsheets_do(row: int, place: int, name: str) -> None:
    """Columns count A to Z, AA to XFD."""
    assert cell_name(row, place) == name
