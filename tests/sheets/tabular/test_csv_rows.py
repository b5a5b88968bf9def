"""CSV as spreadsheets of several countries write it, and what is no CSV."""

from __future__ import annotations

import pytest

from service.sheets.tabular.csv_rows import csv_sheet
from service.sheets.tabular.rows import NotATable


def rows(content: bytes) -> tuple[tuple[str, ...], list[tuple[int, list[object]]]]:
    """The head and the rows of a file."""
    sheet = csv_sheet(content)
    return sheet.head, [(row.number, list(row.cells)) for row in sheet.rows]


@pytest.mark.parametrize(
    "content",
    [
        b"code,title\r\na,b\r\n",
        b"code,title\na,b",
        b"\xef\xbb\xbfcode,title\r\na,b\r\n",
        b"code;title\r\na;b\r\n",
        b"code\ttitle\r\na\tb\r\n",
        b'"code","title"\r\n"a","b"\r\n',
        b"code, title ,\r\na,b\r\n",
    ],
    ids=("crlf", "lf", "mark", "semicolons", "tabs", "quoted", "blanks-and-a-comma-more"),
)
def test_whatever_parts_cells_and_rows_the_table_is_the_same(content: bytes) -> None:
    """A byte order mark, semicolons, tabs, quotes, either line end."""
    assert rows(content) == (("code", "title"), [(2, ["a", "b"])])


def test_a_file_may_name_what_parts_its_cells() -> None:
    """Rows are counted as a spreadsheet counts them: it does not show that line, but it is one of the file's."""
    assert rows(b"sep=;\r\ncode;title\r\na;b,c\r\n") == (("code", "title"), [(3, ["a", "b,c"])])


def test_commas_quotes_and_line_ends_within_quotes_are_text() -> None:
    """A row of several lines is one row, and the next has the next number, blank rows counted."""
    content = b'code,title\r\na,"b, ""c""\nd"\r\n\r\ne,f\r\n'
    assert rows(content) == (("code", "title"), [(2, ["a", 'b, "c"\nd']), (3, []), (4, ["e", "f"])])


@pytest.mark.parametrize(
    ("content", "code", "told"),
    [
        ("code,title\r\na,Ü".encode("cp1252"), "no_utf8", "Line 2 is not in UTF-8"),
        ("code,title".encode("utf-16"), "no_utf8", "UTF-16"),
        (b"PK\x03\x04rest", "no_csv", "a workbook"),
        (b"", "no_head", "empty"),
        (b"\xef\xbb\xbf", "no_head", "empty"),
        (b",,\r\n", "no_head", "empty"),
        (b'code,title\r\na,"b\r\n', "no_csv", "Row 2"),
        (b'code,title\r\na,"b"c\r\n', "no_csv", "Row 2"),
        (b"code,title\r\na," + b"x" * 200_000, "no_csv", "Row 2"),
    ],
    ids=("code-page", "utf-16", "workbook", "nothing", "mark-alone", "no-names", "open-quote", "after-quote", "long"),
)
def test_what_is_no_such_file_is_said(content: bytes, code: str, told: str) -> None:
    """With the line where that helps to find it."""
    with pytest.raises(NotATable, match=told) as refusal:
        rows(content)
    assert refusal.value.code == code


@pytest.mark.parametrize("text", ["'=1", "'+1", "'-1", "'@x", "' =1"])
def test_the_apostrophe_before_a_formula_is_taken_away(text: str) -> None:
    """And no other: an apostrophe that begins a word stays."""
    assert rows(f"code\r\n{text}\r\n't Hart\r\n".encode())[1] == [(2, [text[1:]]), (3, ["'t Hart"])]
