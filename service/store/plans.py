"""Stored plans: written once, read and listed, never changed. Statements without the ORM, this is the hot path."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Select, delete, insert, literal, select, tuple_

from service.domain.installation_summary import PlannedFor
from service.store.audit.noting import Noted, note
from service.store.errors import NotFound
from service.store.moments import Moment
from service.store.tables import AdditionPlanRow, PlanRow
from service.store.teams import mine
from service.store.text import contains, folded, keepable


@dataclass(frozen=True, slots=True)
class PlanSummary:
    """What a list of plans says of one; ``trays`` and ``optimal`` None where it does not fit."""

    id: str
    created: datetime
    name: str
    closure: str | None
    fits: bool
    splices: int
    trays: int | None
    optimal: bool | None
    catalogue_revision: int
    version: str


@dataclass(frozen=True, slots=True)
class StoredPlan(PlanSummary):
    """A plan: ``request`` as it was read, ``answer`` as it was first given, less ``id`` and ``created`` (JSON, UTF-8).

    It was made from the catalogue at ``catalogue_revision`` by the service's ``version``; ``planned_for`` the closure
    that hangs already where it adds to one.
    """

    request: bytes
    answer: bytes
    planned_for: PlannedFor | None = None


NewPlan = StoredPlan
"""A plan to be stored; the caller gives it its id (32 hex digits) and its time."""

_table = PlanRow.__table__
_summary = [_table.c[name] for name in PlanSummary.__dataclass_fields__]
_insert = insert(PlanRow)
_additions = AdditionPlanRow.__table__
_planned_for = (_additions.c.installation_id, _additions.c.revision, _additions.c.visit)
_whole = select(*_summary, _table.c.request, _table.c.answer, *_planned_for).join(
    _additions, _additions.c.plan_id == _table.c.id, isouter=True
)


def add(connection: Connection, plan: NewPlan) -> None:
    """Store a plan."""
    connection.execute(
        _insert,
        {
            "id": plan.id,
            "created": plan.created,
            "name": plan.name,
            "folded": folded(plan.name),
            "closure": plan.closure,
            "fits": plan.fits,
            "splices": plan.splices,
            "trays": plan.trays,
            "optimal": plan.optimal,
            "catalogue_revision": plan.catalogue_revision,
            "version": plan.version,
            "request": plan.request.decode(),
            "answer": plan.answer.decode(),
        },
    )


def fetch(connection: Connection, plan_id: str) -> StoredPlan:
    """A plan by its id; raises ``NotFound``."""
    query = _whole.where(mine(connection, _table), _table.c.id == plan_id)
    row = connection.execute(query).one_or_none() if keepable(plan_id) else None
    if row is None:
        raise NotFound("There is no such plan.")
    members = {**row._mapping, "request": row.request.encode(), "answer": row.answer.encode()}
    made_for = [members.pop(column.name) for column in _planned_for]
    return StoredPlan(**members, planned_for=None if made_for[0] is None else PlannedFor(*made_for))


@dataclass(frozen=True, slots=True)
class PlanFilter:
    """Which plans to list; a member that is None does not narrow it.

    ``name`` is a part of the name in either case of letters; ``created_from`` is in, ``created_to`` is out.
    """

    closure: str | None = None
    fits: bool | None = None
    name: str | None = None
    created_from: datetime | None = None
    created_to: datetime | None = None

    def narrowed(self, query: Select[Any]) -> Select[Any]:
        """The query with these conditions."""
        if self.closure is not None:
            query = query.where(PlanRow.closure == self.closure)
        if self.fits is not None:
            query = query.where(PlanRow.fits.is_(self.fits))
        if self.name:
            query = query.where(contains(PlanRow.folded, self.name))
        if self.created_from is not None:
            query = query.where(PlanRow.created >= self.created_from)
        if self.created_to is not None:
            query = query.where(PlanRow.created < self.created_to)
        return query


def listed(
    connection: Connection, limit: int, after: tuple[datetime, str] | None, which: PlanFilter
) -> list[PlanSummary]:
    """Up to ``limit`` plans, the newest first, from behind the plan of this time and id."""
    texts = (which.closure, which.name, after[1] if after else None)
    if not all(keepable(text) for text in texts if text is not None):
        return []
    query = which.narrowed(select(*_summary).where(mine(connection, _table)))
    if after is not None:
        place = tuple_(literal(after[0], Moment), literal(after[1]))
        query = query.where(tuple_(_table.c.created, _table.c.id) < place)
    rows = connection.execute(query.order_by(_table.c.created.desc(), _table.c.id.desc()).limit(limit))
    return [PlanSummary(*row) for row in rows]


def remove(connection: Connection, plan_id: str) -> None:
    """Delete a plan, which goes on record; raises ``NotFound``. The entries it was made from stay marked as used."""
    if not keepable(plan_id):
        raise NotFound("There is no such plan.")
    its = select(_table.c.id).where(mine(connection, _table), _table.c.id == plan_id)
    connection.execute(delete(AdditionPlanRow).where(_additions.c.plan_id.in_(its)))
    if connection.execute(delete(PlanRow).where(mine(connection, _table), PlanRow.id == plan_id)).rowcount == 0:
        raise NotFound("There is no such plan.")
    note(connection, Noted("remove", "plans", plan_id, None, None))


def ids(connection: Connection, after: str, limit: int) -> Iterator[str]:
    """The ids behind ``after`` in their own order."""
    query = select(_table.c.id).where(mine(connection, _table), _table.c.id > after).order_by(_table.c.id).limit(limit)
    return iter(connection.scalars(query).all())
