"""Whose rows a connection works on.

A connection is bound to a team when it is taken from its engines, and every statement on a table with a ``team`` says
so with ``mine``; what is inserted gets the team by itself. A connection that is bound to none fails at the first such
statement. Rows without a team of their own (splice points of a takeoff, visits, sources of an order) are reached by way
of what they belong to.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import ColumnElement, Connection, FromClause, true
from sqlalchemy.engine.default import DefaultExecutionContext
from sqlalchemy.orm import DeclarativeBase, MappedColumn, mapped_column

DEFAULT_TEAM_ID = 1
"""The number of the team ``default``, which the migrations make first."""

EVERY_TEAM = 0
"""In place of a team's number: the rows of all teams. For workers, who lease whatever is to be done."""

_OPTION = "team"


def bound(connection: Connection, team: int) -> Connection:
    """The connection, bound to a team (or to ``EVERY_TEAM``) as long as it is held."""
    return connection.execution_options(**{_OPTION: team})


def team_of(connection: Connection) -> int:
    """The team that a connection is bound to; raises ``LookupError`` where it is bound to none."""
    return _named(connection.get_execution_options())


def mine(connection: Connection, table: FromClause | type[DeclarativeBase]) -> ColumnElement[bool]:
    """The condition that a row of the table belongs to the connection's team."""
    team = team_of(connection)
    if team == EVERY_TEAM:
        return true()
    columns: FromClause = table if isinstance(table, FromClause) else table.__table__
    condition: ColumnElement[bool] = columns.c.team == team
    return condition


def team_column(primary_key: bool = False) -> MappedColumn[int]:
    """The column that says whose a row is; filled in by the connection that inserts it."""
    return mapped_column(primary_key=primary_key, autoincrement=False, default=_inserting)


def _inserting(context: DefaultExecutionContext) -> int:
    team = _named(context.execution_options)
    if team == EVERY_TEAM:
        raise LookupError("A row belongs to one team, not to all.")
    return team


def _named(options: Any) -> int:
    if _OPTION not in options:
        raise LookupError("This connection is bound to no team.")
    team: int = options[_OPTION]
    return team
