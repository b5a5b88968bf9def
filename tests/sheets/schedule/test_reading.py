"""A filled-in schedule read back."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from service.sheets.schedule.opening import UNPACKED_MOST, NotAWorkbook
from service.sheets.schedule.reading import FilledSchedule, read_schedule
from service.sheets.schedule.workbook import plan_xlsx
from tests.sheets.schedule.demo_dossier import demo_dossier

DOSSIER = demo_dossier(8)
SHEET = plan_xlsx(DOSSIER)


def cell(book: Workbook, sheet: str, row: int, head: str) -> Any:
    """The cell of a column by its head."""
    heads = [each.value for each in book[sheet][1]]
    return book[sheet].cell(row, heads.index(head) + 1)


def filled_in(fill: Callable[[Workbook], None]) -> bytes:
    """The sheet as it comes back when somebody has filled it in and saved it."""
    book = load_workbook(io.BytesIO(SHEET))
    fill(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def read(fill: Callable[[Workbook], None]) -> FilledSchedule:
    """The schedule read back after it was filled in."""
    return read_schedule(filled_in(fill))


def test_an_untouched_schedule_tells_nothing() -> None:
    """A sheet that nobody filled in is no record of splices without remakes, even though wavelengths stand there."""
    assert read_schedule(SHEET).document == {"records": []}
    assert read_schedule(SHEET).faults == []


def test_what_was_filled_in_comes_back_with_its_slot() -> None:
    """Remakes, who and when of a splice, and the losses of two of its fibres, both ways and estimated."""

    def fill(book: Workbook) -> None:
        cell(book, "Splices", 3, "Remakes").value = 2
        cell(book, "Splices", 3, "of these after shrinking").value = 1
        cell(book, "Splices", 3, "By").value = " M. Tarn "
        cell(book, "Splices", 3, "On").value = datetime(2026, 3, 12)
        cell(book, "Losses", 14, "Loss dB, from side to side").value = 0.04
        cell(book, "Losses", 14, "Loss dB, the other way").value = "-0,02"
        cell(book, "Losses", 15, "Loss dB, estimated by the splicer").value = 0.01

    found = read(fill)
    assert found.faults == []
    assert found.document == {
        "records": [
            {
                "at": {"tray": 1, "bank": 1, "slot": 2},
                "remakes": 2,
                "remakes_after_shrinking": 1,
                "by": "M. Tarn",
                "on": "2026-03-12",
                "losses": [
                    {"fibre": 1, "loss_db": 0.04, "kind": "measured", "wavelength_nm": 1550, "direction": "a_to_b"},
                    {"fibre": 1, "loss_db": -0.02, "kind": "measured", "wavelength_nm": 1550, "direction": "b_to_a"},
                    {"fibre": 2, "loss_db": 0.01, "kind": "estimated", "wavelength_nm": 1550},
                ],
            }
        ]
    }
    assert found.places["/records/0/losses/1"].startswith("Losses!") and found.places["/records/0/losses/1"].endswith(
        "14"
    )


def test_a_row_that_only_says_who_is_a_splice_without_remakes() -> None:
    """A crew that signs a row and writes no remakes had none."""
    found = read(lambda book: setattr(cell(book, "Splices", 2, "By"), "value", "T. Mell"))
    assert found.document["records"] == [{"at": {"tray": 1, "bank": 1, "slot": 1}, "remakes": 0, "by": "T. Mell"}]


@pytest.mark.parametrize(
    ("sheet", "head", "value", "told"),
    [
        ("Splices", "Remakes", "twice", "no number"),
        ("Splices", "Remakes", 1.5, "no whole number"),
        ("Splices", "Remakes", -1, "between"),
        ("Splices", "Remakes", True, "no number"),
        ("Splices", "Remakes", "=1+1", "formula"),
        ("Splices", "On", "yesterday", "no day"),
        ("Splices", "On", "2026-02-30", "no day"),
        ("Splices", "By", "x" * 201, "longer"),
        ("Losses", "Loss dB, from side to side", 61, "between"),
        ("Losses", "Loss dB, from side to side", "0.1 dB", "no number"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_its_cell(sheet: str, head: str, value: Any, told: str) -> None:
    """The fault names sheet and cell, and says what is wrong."""
    where: list[str] = []

    def fill(book: Workbook) -> None:
        target = cell(book, sheet, 5, head)
        target.value = value
        where.append(target.coordinate)

    (fault,) = read(fill).faults
    assert (fault.sheet, fault.cell) == (sheet, where[0])
    assert told in fault.detail


def test_all_faults_are_told_not_the_first_alone() -> None:
    """Two wrong cells on two sheets and a missing wavelength are three faults."""

    def fill(book: Workbook) -> None:
        cell(book, "Splices", 2, "Remakes").value = "many"
        cell(book, "Losses", 2, "Loss dB, from side to side").value = "low"
        cell(book, "Losses", 3, "Loss dB, from side to side").value = 0.1
        cell(book, "Losses", 3, "Wavelength nm").value = None

    assert len(read(fill).faults) == 3


def test_a_slot_that_stands_twice_or_nowhere_is_refused() -> None:
    """Rows copied over one another, or without a slot, do not decide by chance which of them counts."""

    def twice(book: Workbook) -> None:
        for row in (2, 3):
            cell(book, "Splices", row, "Slot").value = 1
            cell(book, "Splices", row, "Remakes").value = 1

    def nowhere(book: Workbook) -> None:
        cell(book, "Splices", 2, "Tray").value = None
        cell(book, "Splices", 2, "Remakes").value = 1

    assert "earlier row" in read(twice).faults[0].detail
    assert "does not say" in read(nowhere).faults[0].detail


def test_columns_are_found_by_their_heads_wherever_they_stand() -> None:
    """Another column inserted in front changes nothing; one that is gone is named."""
    found = read(
        lambda book: (book["Splices"].insert_cols(1), setattr(cell(book, "Splices", 2, "Remakes"), "value", 1), None)[
            -1
        ]
    )
    assert found.document["records"][0]["remakes"] == 1
    found = read(lambda book: setattr(cell(book, "Splices", 1, "Remakes"), "value", "Redone"))
    assert "Remakes" in found.faults[0].detail


def bomb() -> bytes:
    """A small file that unpacks to more than is allowed."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * (UNPACKED_MOST + 1))
    return out.getvalue()


def with_entities() -> bytes:
    """A workbook in which a part declares entities."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(SHEET)) as source, zipfile.ZipFile(out, "w") as target:
        for part in source.infolist():
            content = source.read(part)
            if part.filename == "xl/worksheets/sheet2.xml":
                content = b'<?xml version="1.0"?><!DOCTYPE l [<!ENTITY a "ha">]>' + content.split(b"?>", 1)[1]
            target.writestr(part.filename, content)
    return out.getvalue()


@pytest.mark.parametrize(
    "content",
    [b"", b"PK\x03\x04", b"splice,remakes\r\n1,2\r\n", SHEET[: len(SHEET) // 2], bomb(), with_entities()],
    ids=["empty", "head of a zip", "CSV", "cut off", "bomb", "entities"],
)
def test_what_is_no_workbook_is_refused_in_words(content: bytes) -> None:
    """Nothing of what a reader may stumble over comes through as anything but a refusal."""
    with pytest.raises(NotAWorkbook):
        read_schedule(content)


@settings(deadline=None)
@given(st.integers(0, len(SHEET) - 1), st.binary(min_size=1, max_size=40))
def test_damaged_workbooks_are_read_or_refused(place: int, damage: bytes) -> None:
    """Whatever bytes are changed, the answer is records, faults, or that it is no workbook."""
    try:
        read_schedule(SHEET[:place] + damage + SHEET[place + len(damage) :])
    except NotAWorkbook as refused:
        assert str(refused)


def test_entities_behind_a_long_comment_are_refused_too() -> None:
    """The parser itself expands none, so hiding them behind the head of the part does not help."""
    out = io.BytesIO()
    declared = b'<!DOCTYPE l [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'
    with zipfile.ZipFile(io.BytesIO(SHEET)) as source, zipfile.ZipFile(out, "w") as target:
        for part in source.infolist():
            content = source.read(part)
            if part.filename == "xl/workbook.xml":
                head, rest = content.split(b"?>", 1)
                content = head + b"?><!--" + b" " * 5000 + b"-->" + declared + rest
            target.writestr(part.filename, content)
    with pytest.raises(NotAWorkbook):
        read_schedule(out.getvalue())


@pytest.mark.parametrize("said", [b"A1", b"A1:C2", b"A1:ZZ9"])
def test_rows_count_whatever_size_a_sheet_says_of_itself(said: bytes) -> None:
    """Some programs write a size that is too small: what was filled in beyond it is not lost."""
    filled = filled_in(lambda book: setattr(cell(book, "Splices", 9, "Remakes"), "value", 3))
    out = io.BytesIO()
    sizes = 0
    with zipfile.ZipFile(io.BytesIO(filled)) as before, zipfile.ZipFile(out, "w") as after:
        for name in before.namelist():
            part, found = re.subn(rb'<dimension ref="[^"]*"', b'<dimension ref="' + said + b'"', before.read(name))
            after.writestr(name, part)
            sizes += found
    assert sizes
    assert read_schedule(out.getvalue()).document == read_schedule(filled).document
    assert [each["remakes"] for each in read_schedule(out.getvalue()).document["records"]] == [3]
