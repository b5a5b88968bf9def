"""Which hung closure a stored plan adds to, and what lay in it when it was planned."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Select, insert, select, update

from service.documents.contents import splice_from, splice_to
from service.domain.installation import Contents, LaidSplice
from service.domain.installation_summary import PlannedFor
from service.domain.plan import ParkedEnds
from service.store.errors import NotFound
from service.store.tables import AdditionPlanRow, PlanRow
from service.store.teams import mine
from service.store.text import keepable, read, written

_table = AdditionPlanRow.__table__
_ENDS = ("cable", "tube", "ribbons", "fibres")
"""What is noted of parked ends; what they take of the channel is of no use on a sheet."""


def add(connection: Connection, plan_id: str, planned: PlannedFor, before: Contents) -> None:
    """Note what a stored plan was made for, and what the closure held ``before``."""
    parked = [
        {"position": tray.position, **{name: getattr(ends, name) for name in _ENDS}}
        for tray in before.trays
        for ends in tray.parked
    ]
    connection.execute(
        insert(AdditionPlanRow),
        {
            "plan_id": plan_id,
            "installation_id": planned.installation,
            "revision": planned.revision,
            "visit": planned.visit,
            "lying": written({"splices": [splice_to(splice) for splice in before.splices], "parked": parked}),
        },
    )


def carried_out(connection: Connection, plan_id: str, revision: int, visit: int) -> None:
    """Note that a visit, to the closure as it was at ``revision``, recorded a plan that no other one has.

    Raises ``NotFound`` where there is no such plan.
    """
    this = (_table.c.plan_id.in_(_this(connection, plan_id)), _table.c.visit.is_(None))
    values = {"revision": revision, "visit": visit}
    if not keepable(plan_id) or connection.execute(update(AdditionPlanRow).where(*this), values).rowcount == 0:
        raise NotFound("There is no such plan to be carried out.")


def lying(connection: Connection, plan_id: str) -> tuple[LaidSplice, ...]:
    """The splices that lay in the closure when a plan into it was made; none for a plan into no installation."""
    return tuple(splice_from(each) for each in _before(connection, plan_id).get("splices", ()))


def parked(connection: Connection, plan_id: str) -> tuple[tuple[int, ParkedEnds], ...]:
    """The ends that lay parked in the closure then, each with the position of its tray.

    None for a plan that was stored before these were noted.
    """
    found = _before(connection, plan_id).get("parked", ())
    return tuple((each["position"], ParkedEnds(*(each[name] for name in _ENDS))) for each in found)


def _before(connection: Connection, plan_id: str) -> Mapping[str, Any]:
    query = select(_table.c.lying).where(_table.c.plan_id.in_(_this(connection, plan_id)))
    text = connection.scalars(query).one_or_none() if keepable(plan_id) else None
    return {} if text is None else read(text)


def _this(connection: Connection, plan_id: str) -> Select[str]:
    """The plan of this id where it is the team's own."""
    return select(PlanRow.id).where(mine(connection, PlanRow), PlanRow.id == plan_id)
