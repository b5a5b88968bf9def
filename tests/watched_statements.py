"""Every statement of a test run that touches a team's rows says whose they are, or is one of a short list.

Listens to all engines, so that a query without its team fails whatever test runs it, and not only tests about teams.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Alias, BinaryExpression, Column, Connection, Engine, Table, event
from sqlalchemy.sql import Delete, Select, Update, visitors

from service.store.tables import Tables
from service.store.teams import EVERY_TEAM

OF_ALL_TEAMS = {"takeoffs", "webhooks"}
"""What is worked on without regard to teams, to lease what is to be done: takeoffs, and what webhooks are told."""

LOOKED_UP = {"tokens"}
"""What says which team a caller is of, and so is found by the caller's token."""


def watch() -> None:
    """Watch all engines of this process from now on."""
    event.listen(Engine, "before_execute", _looked_at)


def _looked_at(connection: Connection, statement: Any, *_: Any) -> None:
    if not isinstance(statement, Select | Update | Delete):
        return
    unsaid = set(teamless(statement)) - LOOKED_UP
    if connection.get_execution_options().get("team") == EVERY_TEAM:
        unsaid -= OF_ALL_TEAMS
    assert not unsaid, f"whose {', '.join(sorted(unsaid))}? {statement}"


def teamless(statement: Any) -> Iterator[str]:
    """The names of the tables with a team that a statement touches without a condition on it."""
    touched: dict[Any, str] = {}
    said = set()
    for element in visitors.iterate(statement):
        if isinstance(element, Table | Alias):
            table = element.element if isinstance(element, Alias) else element
            if isinstance(table, Table) and _has_team(table.name):
                touched[element] = table.name
        elif isinstance(element, BinaryExpression):
            sides = (element.left, element.right)
            said |= {side.table for side in sides if isinstance(side, Column) and side.name == "team"}
    if isinstance(statement, Update | Delete) and _has_team(statement.table.name):
        touched[statement.table] = statement.table.name
    said_names = {getattr(table, "name", None) for table in said}
    return (name for table, name in touched.items() if getattr(table, "name", None) not in said_names)


def _has_team(name: str) -> bool:
    table = Tables.metadata.tables.get(name)
    return table is not None and "team" in table.c
