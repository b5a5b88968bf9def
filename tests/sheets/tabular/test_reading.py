"""Rows brought to their entries, and every fault with its sheet, row and column."""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest

from service.sheets.tabular.reading import FAULTS_MOST, TablesRead, read_csv, read_workbook
from service.sheets.tabular.rows import LOWEST, ROWS_MOST, NotATable
from tests.api.files import workbook
from tests.sheets.tabular.drawn import ALL, POINTS, TABLES


def trays(text: str) -> TablesRead:
    return read_csv(text.encode(), TABLES["trays"])


def lines_run(work: Callable[[], object]) -> int:
    """How many lines of Python run in some work."""
    count = 0

    def note(_frame: FrameType, event: str, _argument: object) -> Any:
        nonlocal count
        count += event == "line"
        return note

    before = sys.gettrace()
    sys.settrace(note)
    try:
        work()
    finally:
        sys.settrace(before)
    return count


def told(read: TablesRead) -> list[tuple[str, str, str]]:
    """Cell, heading and code of every fault."""
    return [(fault.place, fault.heading, fault.code) for fault in sorted(read.faults)]


def test_an_unknown_column_is_told_with_the_nearest() -> None:
    """A slip in a heading would lose a whole column, so it is never passed over."""
    read = trays("code,pich_mm,colour_of_the_lid\na,1,2\n")
    assert told(read) == [("B1", "pich_mm", "unknown_column"), ("C1", "colour_of_the_lid", "unknown_column")]
    assert read.faults[0].detail.endswith("Is it pitch_mm?")


def test_a_column_may_stand_once() -> None:
    """Letters of either case are the same."""
    assert told(trays("code,title,Title\na,b,c\n")) == [("C1", "Title", "duplicate")]


def test_tags_that_differ_in_the_case_of_their_letters_are_two() -> None:
    """Their names are the caller's own words, as they are in JSON; the heading before them is ours."""
    read = read_csv(b"name,tags.R,Tags.r\nQuay,1,2\n", POINTS)
    assert told(read) == []
    assert read.entries["points"]["Quay"].over(POINTS)["tags"] == {"R": "1", "r": "2"}


def test_something_beyond_the_headings_belongs_to_nothing() -> None:
    """A comma too many moves all that follows, and is told."""
    assert told(trays("code,title\na,b,c\n")) == [("C2", "", "no_heading")]


def test_a_row_says_whose_it_is() -> None:
    """A blank does not mean the one above."""
    assert told(trays("code,title\na,b\n,c\n")) == [("A3", "code", "required")]
    assert told(trays("title\nb\n")) == [("A1", "code", "no_column")]


def test_what_a_row_costs_does_not_grow_with_the_rows_before_it() -> None:
    """One entry may have all the rows of a file: four times as many run four times as many lines, not sixteen."""

    def lines(rows: int) -> int:
        text = "code,banks.bank,banks.slot_kind,banks.slots\n" + "".join(f"a,{n},s,1\n" for n in range(rows))
        return lines_run(lambda: trays(text))

    assert lines(400) < 5 * lines(100)


def test_empty_rows_count_as_well() -> None:
    """Packed they are next to nothing, and thirty million of them kept a server busy for half a minute."""
    assert trays("code\n" + "\n" * (LOWEST - 1)).count == 0
    with pytest.raises(NotATable, match="goes on below row"):
        trays("code\n" + "\n" * LOWEST)


def test_rows_with_one_number_are_one_bank() -> None:
    """The kinds of its slots stand in several rows, how many such banks there are in one of them or in all."""
    head = "code,banks.bank,banks.count,banks.slot_kind,banks.slots\n"
    read = trays(head + "a,1,2,ribbon-12,3\na,1,,single,6\na,2,1,single,4\nb,1,1,single,4\n")
    assert read.faults == []
    assert read.entries["trays"]["a"].over(TABLES["trays"]) == {
        "code": "a",
        "banks": [{"count": 2, "slots": {"ribbon-12": 3, "single": 6}}, {"count": 1, "slots": {"single": 4}}],
    }
    wrong = trays(head + "a,1,2,ribbon-12,3\na,1,3,single,6\na,1,,single,7\na,,1,single,4\na,2,1,single,\n")
    assert told(wrong) == [
        ("C3", "banks.count", "contradiction"),
        ("D4", "banks.slot_kind", "duplicate"),
        ("B5", "banks.bank", "required"),
        ("E6", "banks.slots", "required"),
    ]


def test_further_rows_of_csv_may_repeat_what_was_said() -> None:
    """As a spreadsheet fills it down; another thing of the same entry is refused with the row that said it first."""
    assert trays("code,title,turn_mm\na,T,5\na,T,\na,,5.0\n").faults == []
    read = trays("code,title,turn_mm\na,T,5\na,U,5\n")
    assert told(read) == [("B3", "title", "contradiction")]
    assert "Row 2" in read.faults[0].detail


def test_in_a_workbook_an_entry_stands_once() -> None:
    """There its lists have sheets of their own, so that a second row can only be a mistake."""
    read = read_workbook(workbook({"trays": [["code", "title"], ["a", "T"], ["a", "T"]]}), ALL)
    assert told(read) == [("trays!A3", "code", "duplicate")]


def test_what_the_file_does_not_speak_of_stays() -> None:
    """Columns that are missing leave their members, empty cells take them away, lists without rows stay."""
    standing = {"code": "a", "title": "T", "turn_mm": 5, "entry_mm": 1, "banks": [{"count": 1, "slots": {"s": 1}}]}
    entry = trays("code,entry_mm,turn_mm\na,,6\n").entries["trays"]["a"]
    assert entry.over(TABLES["trays"], standing) == {
        "code": "a", "title": "T", "turn_mm": 6, "banks": [{"count": 1, "slots": {"s": 1}}],
    }  # fmt: skip


def test_a_dash_says_that_a_list_is_empty() -> None:
    """So what comes in a closure's box can be taken out of it."""
    standing = {"code": "a", "includes": [{"material": "m", "quantity": 1}], "ports": [{"name": "p"}]}
    table = TABLES["closures"]
    read = read_csv(b"code,includes.material\na,-\n", table)
    assert read.faults == []
    assert read.entries["closures"]["a"].over(table, standing) == {"code": "a", "ports": [{"name": "p"}]}


def test_a_fault_of_the_document_leads_to_its_cell() -> None:
    """From a pointer into the document: the member's column, or the key where the file has no such column."""
    head = "name,tags.area,rules.reserve.percent,cables.tag,joints.from.cable,joints.to.cable\n"
    read = read_csv((head + "Q,n,5,A,A,B\nQ,,,B,A,B\n").encode(), POINTS)
    entry = read.entries["points"]["Q"]
    places = {
        "/rules/reserve/percent": "C2",
        "/rules/reserve": "C2",
        "/tags/area": "B2",
        "/cables/1/tag": "D3",
        "/cables/1/cable": "A3",
        "/joints/1/to/cable": "F3",
        "/joints/0/from": "E2",
        "/joints/0/from/ribbons": "A2",
        "/joints": "A2",
        "/crew/splicers": "A2",
        "": "A2",
    }
    assert {pointer: entry.fault(POINTS, pointer, "x", "y").cell for pointer in places} == places


def test_a_list_that_is_missing_is_told_with_where_it_is_said() -> None:
    """It has no cell, so the key's is pointed at, and the sentence names the list, its sheet and its columns."""
    table = POINTS
    entry = read_csv(b"name\nQ\n", table).entries["points"]["Q"]
    fault = entry.fault(table, "/joints", "required", "This member is required.")
    assert fault.cell == "A2"
    assert fault.detail == (
        "This member is required. It is joints: rows on the sheet points.joints, in CSV the columns that begin with "
        "joints."
    )


def test_reading_ends_where_nobody_would_read_on() -> None:
    """A file whose every cell is wrong gives a thousand faults and no more."""
    assert len(trays("code,turn_mm\n" + "a,x\n" * 5000).faults) == FAULTS_MOST


def test_a_file_has_a_bounded_number_of_rows() -> None:
    """One row more than the most is refused as a whole."""
    rows = "".join(f"{number},5\n" for number in range(ROWS_MOST))
    assert trays("code,turn_mm\n" + rows).count == ROWS_MOST
    with pytest.raises(NotATable, match="more than 100000 rows"):
        trays("code,turn_mm\n" + rows + "z,5\n")
