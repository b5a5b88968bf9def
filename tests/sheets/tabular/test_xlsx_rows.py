"""Workbooks as people and other programs leave them, and workbooks that mean no good."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date

import openpyxl
import pytest

from service.sheets.tabular.reading import TablesRead, read_workbook
from service.sheets.tabular.rows import NotATable
from tests.api.files import saved, workbook
from tests.sheets.tabular.drawn import ALL

HEAD = ["code", "title", "form", "fibres", "length_mm", "slot_kind", "pack_of"]
SLEEVE = ["rs-12", "Sleeve", "ribbon", 12, 40, "ribbon-12", 25]


def read(content: bytes) -> TablesRead:
    return read_workbook(content, ALL)


def faults(content: bytes) -> list[tuple[str, str]]:
    """The cells that are not in order and the codes of why."""
    return [(fault.place, fault.code) for fault in sorted(read(content).faults)]


def changed(content: bytes, part: str, pattern: bytes, by: bytes) -> bytes:
    """A workbook with something in one of its parts written otherwise."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(stream, "w") as new:
        for each in old.namelist():
            held = old.read(each)
            if each.endswith(part):
                assert re.search(pattern, held)
                held = re.sub(pattern, lambda _: by, held)
            new.writestr(each, held)
    return stream.getvalue()


def test_a_formula_is_refused_whatever_it_came_to() -> None:
    """What a cell showed last is not trusted; text that begins like one is text only where it was typed as text."""
    assert faults(workbook({"sleeves": [HEAD, [*SLEEVE[:3], "=6*2", *SLEEVE[4:]]]})) == [("sleeves!D2", "formula")]


def test_a_day_that_the_spreadsheet_made_is_refused() -> None:
    """1-12 typed into a cell that is not text becomes the first of December, and nobody can tell any more."""
    assert faults(workbook({"sleeves": [HEAD, [*SLEEVE[:6], date(2026, 12, 1)]]})) == [("sleeves!G2", "day")]


def test_an_error_of_the_spreadsheet_is_refused() -> None:
    """The word for it is no title."""
    book = openpyxl.load_workbook(io.BytesIO(workbook({"sleeves": [HEAD, SLEEVE]})))
    book["sleeves"]["B2"].value = "#REF!"
    book["sleeves"]["B2"].data_type = "e"
    assert faults(saved(book)) == [("sleeves!B2", "error")]


def test_merged_cells_are_refused_where_they_begin() -> None:
    """What stood in the others is gone, so every one of them is named."""
    book = openpyxl.load_workbook(io.BytesIO(workbook({"sleeves": [HEAD, SLEEVE, SLEEVE]})))
    book["sleeves"].merge_cells("B2:B3")
    assert ("sleeves!B2", "merged") in faults(saved(book))


@pytest.mark.parametrize("state", ["hidden", "veryHidden"])
def test_a_hidden_sheet_is_refused(state: str) -> None:
    """Nothing is taken in that nobody sees."""
    book = openpyxl.load_workbook(io.BytesIO(workbook({"sleeves": [HEAD, SLEEVE], "-mine": [["a"]]})))
    book["sleeves"].sheet_state = state
    assert faults(saved(book)) == [("sleeves!A1", "hidden")]


def test_a_sheet_of_ones_own_begins_with_a_dash() -> None:
    """Such a one is passed over, formulas and all; any other is taken for a slip of the pen.

    Letters of either case and blanks behind the name make no other sheet.
    """
    content = workbook({"Sleeves ": [HEAD, SLEEVE], "- sums": [["=1"]], "Sleves": [HEAD, SLEEVE]})
    assert faults(content) == [("Sleves!A1", "unknown_sheet")]
    assert "Is it sleeves?" in read(content).faults[0].detail


def test_rows_are_counted_as_the_spreadsheet_counts_them() -> None:
    """Empty rows, and rows that another program leaves out of the file, count."""
    content = workbook({"sleeves": [HEAD, [], ["", " "], SLEEVE, [*SLEEVE[:3], "many", *SLEEVE[4:]]]})
    assert faults(content) == [("sleeves!A5", "duplicate")]
    content = workbook({"sleeves": [HEAD, [], [], [None, "Sleeve"]]})
    assert faults(content) == [("sleeves!A4", "required")]


def test_a_code_that_was_typed_as_a_number_is_its_digits() -> None:
    """And one that was typed as text keeps its noughts."""
    found = read(workbook({"sleeves": [HEAD, [12, *SLEEVE[1:]], ["0012", *SLEEVE[1:]]]}))
    assert list(found.entries["sleeves"]) == ["12", "0012"]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"code,title",
        b"PK\x03\x04" + bytes(100),
        workbook({"sleeves": [HEAD]})[:-30],
        changed(workbook({"sleeves": [HEAD]}), "sheet1.xml", rb"<sheetData>", b"<sheetData"),
        changed(workbook({"sleeves": [HEAD]}), "sheet1.xml", rb"^", b"<!DOCTYPE x [<!ENTITY y 'z'>]>"),
        changed(workbook({"sleeves": [HEAD, SLEEVE]}), "sheet1.xml", rb'r="2"', b'r="99999999"'),
        changed(workbook({"sleeves": [HEAD]}), "workbook.xml", rb"<sheets>.*</sheets>", b""),
    ],
    ids=("nothing", "csv", "no-zip", "cut-off", "broken", "entities", "far-row", "no-sheets"),
)
def test_what_is_no_such_workbook_is_refused_in_a_sentence(content: bytes) -> None:
    """Nothing but this refusal is raised, and it is there at once."""
    with pytest.raises(NotATable):
        read(content)


def test_a_workbook_that_unpacks_to_too_much_is_not_opened() -> None:
    """A hundred kilobytes that become a hundred megabytes."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", bytes(100 * 1024 * 1024))
    with pytest.raises(NotATable, match="unpacks to more than 64 MB"):
        read(stream.getvalue())


MANY = b"<x/>" * 4_200_000


@pytest.mark.parametrize(
    ("part", "pattern", "by"),
    [
        ("sheet1.xml", rb"<sheetData>", MANY + b"<sheetData>"),
        ("sheet1.xml", rb"<sheetData>", b"<sheetData><row>" + b"<c/>" * 4_200_000 + b"</row>"),
        ("styles.xml", rb"</cellXfs>", b"<xf/>" * 420_000 + b"</cellXfs>"),
        ("workbook.xml", rb"(?=</sheets>)", b'<sheet name="-x" sheetId="9" r:id="rId1"/>' * 5_000),
        ("sheet1.xml", rb"<sheetData>", b"<x y='" + b"z" * 3_000_000 + b"'/><sheetData>"),
    ],
    ids=("elements", "cells", "styles", "one-sheet-again-and-again", "long-tag"),
)
def test_a_workbook_of_more_than_is_read_is_refused_before_it_is_worked_through(
    part: str, pattern: bytes, by: bytes
) -> None:
    """Packed it is some ten kilobytes; what a reader makes of it would take minutes and gigabytes."""
    with pytest.raises(NotATable) as raised:
        read(changed(workbook({"sleeves": [HEAD, SLEEVE]}), part, pattern, by))
    assert raised.value.code == "too_much"


def test_shared_strings_are_counted_as_well() -> None:
    """Each costs a reader three times what a cell does."""
    kind = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
    named = b'<Override PartName="/xl/sharedStrings.xml" ContentType="' + kind + b'"/></Types>'
    stream = io.BytesIO(changed(workbook({"sleeves": [HEAD, SLEEVE]}), "Types].xml", rb"</Types>", named))
    with zipfile.ZipFile(stream, "a") as archive:
        main = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
        archive.writestr("xl/sharedStrings.xml", b'<sst xmlns="' + main + b'">' + b"<si/>" * 1_400_000 + b"</sst>")
    with pytest.raises(NotATable) as raised:
        read(stream.getvalue())
    assert raised.value.code == "too_much"


def test_merged_cells_are_looked_for_a_block_at_a_time() -> None:
    """A block without any tag is let go; a tag across two of them is found all the same."""
    content = workbook({"sleeves": [HEAD, SLEEVE]})
    for before in range(64 * 1024 - 700, 64 * 1024, 9):
        by = b"</sheetData><x>" + b"y" * before + b'</x><mergeCells count="1"><mergeCell ref="A2:B2"/></mergeCells>'
        assert faults(changed(content, "sheet1.xml", rb"</sheetData>", by)) == [("sleeves!A2", "merged")]


def test_a_workbook_without_any_sheet_of_ours_is_refused() -> None:
    """Its own sheets alone say nothing; that is told, and not taken for an empty file."""
    with pytest.raises(NotATable, match="none of the sheets sleeves, trays"):
        read(workbook({"-mine": [["x"]]}))
