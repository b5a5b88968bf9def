"""The columns follow the description: every member that a table can hold has one, and what has none is known."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from service.sheets.tabular.described import SCHEMAS
from service.sheets.tabular.shape import Table
from tests.sheets.tabular.drawn import ALL, POINTS, SPEC

NO_COLUMN = {"revision", "existing_trays", "cables.hanging"}
"""What the store says itself, and what hangs already: told as JSON, or by adding to the closure that hangs."""


def members(node: Any, way: str = "") -> Iterator[str]:
    """The ways to the members of a schema that hold no others; of a mapping, the way to it."""
    node = SPEC.resolved(node)
    if node.get("type") == "array" and SPEC.resolved(node["items"]).get("type") == "object":
        node = SPEC.resolved(node["items"])
    if way in NO_COLUMN or node.get("type") != "object" or "properties" not in node:
        yield way
        return
    for name, each in node["properties"].items():
        yield from members(each, f"{way}.{name}".lstrip("."))


def headings(table: Table) -> list[str]:
    """All headings of a table."""
    return [table.key.heading, *(column.heading for sheet in table.sheets for column in sheet.all_columns)]


@pytest.mark.parametrize("table", [pytest.param(each, id=each.kind) for each in (*ALL, POINTS)])
def test_every_member_has_a_column(table: Table) -> None:
    """A member that is added to the description and cannot be a column fails here, so that nobody forgets it."""
    schema = SCHEMAS.get(table.kind, "SplicePoint")
    wanted = set(members({"$ref": f"#/components/schemas/{schema}"})) - NO_COLUMN
    given = set(headings(table)) - {"banks.bank", "banks.slot_kind"}
    assert wanted == given


@pytest.mark.parametrize("table", [pytest.param(each, id=each.kind) for each in (*ALL, POINTS)])
def test_a_heading_is_one_column(table: Table) -> None:
    """In CSV all columns stand side by side, and letters of either case are the same."""
    found = [heading.lower() for heading in headings(table)]
    assert len(found) == len(set(found))


@pytest.mark.parametrize("table", [pytest.param(each, id=each.kind) for each in (*ALL, POINTS)])
def test_a_column_that_is_needed_says_so(table: Table) -> None:
    """What the schema asks for begins with that word, and every column is explained."""
    for column in (column for sheet in table.sheets for column in sheet.all_columns if column.heading != "banks.bank"):
        assert column.told
        assert column.told.startswith("Needed.") == column.needed
