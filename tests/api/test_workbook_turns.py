"""Workbooks that are brought are read one at a time."""

from __future__ import annotations

import pytest

from service.api.importing import turns
from service.api.importing.tables import catalogue_tables
from service.api.problems import Problem
from service.api.spec import load_spec
from service.sheets.tabular.rows import NotATable
from service.sheets.tabular.xlsx_files import xlsx_file
from tests.faults.written import catalogue

TABLES = list(catalogue_tables(load_spec()).values())


def test_a_workbook_waits_for_another_and_is_refused_where_that_takes_long() -> None:
    """503 with the time to come again, while another is being read; afterwards it is read."""
    book = xlsx_file(TABLES, catalogue())
    with turns._turn, pytest.raises(Problem) as refused:
        turns.read_in_turn(book, TABLES, wait_s=0.01)
    assert refused.value.status == 503 and refused.value.headers["Retry-After"] == "5"
    assert turns.read_in_turn(book, TABLES).faults == []


def test_one_that_is_no_workbook_gives_its_turn_back() -> None:
    """However reading ends, the next one is read."""
    for _ in range(2):
        with pytest.raises(NotATable):
            turns.read_in_turn(b"no workbook", TABLES, wait_s=0.01)
