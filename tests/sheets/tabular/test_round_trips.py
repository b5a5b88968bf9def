"""What is written as a workbook or CSV is read as the same documents again, whatever stands in them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.domain.catalogue import KINDS
from service.sheets.tabular.csv_files import csv_file
from service.sheets.tabular.described import SCHEMAS
from service.sheets.tabular.reading import TablesRead, read_csv, read_workbook
from service.sheets.tabular.shape import Table
from service.sheets.tabular.xlsx_files import xlsx_file
from tests.clients.stories import CATALOGUE
from tests.sheets.tabular.drawn import ALL, POINTS, SPEC, TABLES, entries, points

SLOW = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
slow = settings(max_examples=60, deadline=None, suppress_health_check=SLOW)


def documents(table: Table, read: TablesRead) -> list[dict[str, Any]]:
    """The documents that a file says, which is in order."""
    assert read.faults == []
    return [entry.over(table) for entry in read.entries[table.kind].values()]


def same(one: Any, other: Any) -> bool:
    """Whether two documents are alike; an empty list or mapping that may be left out is as good as none."""
    return told(one) == told(other)


def told(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: told(each) for name, each in value.items() if told(each) not in ({}, [])}
    return [told(each) for each in value] if isinstance(value, list) else value


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
@slow
def test_any_section_comes_back_from_csv(kind: str, data: st.DataObject) -> None:
    """Titles that look like formulas, days or numbers, long fractions, banks with several kinds: all as they were."""
    drawn = data.draw(entries(kind))
    assert all(SPEC.validator(SCHEMAS[kind]).is_valid(each) for each in drawn)
    assert same(documents(TABLES[kind], read_csv(csv_file(TABLES[kind], drawn), TABLES[kind])), drawn)


@given(st.fixed_dictionaries({kind: entries(kind) for kind in KINDS}))
@slow
def test_any_catalogue_comes_back_from_a_workbook(drawn: dict[str, Any]) -> None:
    """All sections at once, each list on a sheet of its own."""
    read = read_workbook(xlsx_file(ALL, drawn), ALL)
    for kind in KINDS:
        assert same(documents(TABLES[kind], read), drawn[kind])


@given(points())
@slow
def test_any_splice_points_come_back_from_both(drawn: list[dict[str, Any]]) -> None:
    """Cables and joints in their order, rules, crew, site, tags and place."""
    assert same(documents(POINTS, read_csv(csv_file(POINTS, drawn), POINTS)), drawn)
    assert same(documents(POINTS, read_workbook(xlsx_file([POINTS], {"points": drawn}), [POINTS])), drawn)


@given(st.fixed_dictionaries({kind: entries(kind) for kind in KINDS}))
@slow
def test_over_what_stands_nothing_is_other(drawn: dict[str, Any]) -> None:
    """Laid over the very documents it was made from, a file leaves each of them equal, empty lists and all."""
    read = read_workbook(xlsx_file(ALL, drawn), ALL)
    for kind in KINDS:
        for standing in drawn[kind]:
            assert read.entries[kind][standing["code"]].over(TABLES[kind], standing) == standing


def test_the_demos_catalogue_comes_back() -> None:
    """Byte for byte the same documents, from the workbook and from the CSV of each section."""
    read = read_workbook(xlsx_file(ALL, CATALOGUE), ALL)
    for kind in KINDS:
        assert documents(TABLES[kind], read) == CATALOGUE[kind]
        assert (
            documents(TABLES[kind], read_csv(csv_file(TABLES[kind], CATALOGUE[kind]), TABLES[kind])) == CATALOGUE[kind]
        )


def test_the_same_catalogue_makes_the_same_bytes() -> None:
    """So a file can be compared, and kept under its catalogue's revision."""
    assert xlsx_file(ALL, CATALOGUE) == xlsx_file(ALL, CATALOGUE)


def test_an_empty_template_says_nothing() -> None:
    """The row that explains and the sheets with examples are not read."""
    shown = xlsx_file(ALL, {}, CATALOGUE)
    assert read_workbook(shown, ALL).count == 0
    assert read_csv(csv_file(POINTS, ()), POINTS).count == 0
