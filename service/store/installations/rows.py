"""Hung closures as rows: added, found, changed, removed. Statements without the ORM."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Select, delete, insert, select, update

from service.documents.contents import contents_from, contents_to
from service.documents.visits import visit_from, visit_to
from service.domain.installation import Installation, Place, Visit
from service.domain.installation_summary import summary_of
from service.store.audit.noting import Noted, note
from service.store.errors import NotFound
from service.store.installations.errors import HungAlready
from service.store.installations.tables import InstallationRow, VisitRow
from service.store.records.tables import SpliceRecordRow
from service.store.teams import mine
from service.store.text import folded, keepable, read, written

_table = InstallationRow.__table__
_visits = VisitRow.__table__
_whole = [
    _table.c[name] for name in ("created", "revision", "name", "place", "latitude", "longitude", "hung", "contents")
]


def add(connection: Connection, installation: Installation, visit: Visit) -> None:
    """Store a closure that has been hung, with its first visit."""
    row = {"id": installation.id, "created": installation.created, "plan": visit.plan}
    connection.execute(insert(InstallationRow), {**row, **_columns(installation, visit.recorded)})
    _add_visit(connection, installation.id, visit)
    note(connection, Noted(visit.kind, "installations", installation.id, None, installation.revision))


def replace_at(
    connection: Connection, expected: int, installation: Installation, visit: Visit | None, now: datetime
) -> bool:
    """Store an installation over the one at revision ``expected``, with its visit; False where there is none.

    The guard is in the statement itself: of two that were made from one revision, the second finds no row.
    """
    this = (mine(connection, _table), _table.c.id == installation.id, _table.c.revision == expected)
    if connection.execute(update(InstallationRow).where(*this), _columns(installation, now)).rowcount == 0:
        return False
    if visit is not None:
        _add_visit(connection, installation.id, visit)
    operation = "rename" if visit is None else visit.kind
    note(connection, Noted(operation, "installations", installation.id, expected, installation.revision))
    return True


def _columns(installation: Installation, now: datetime) -> dict[str, Any]:
    summary, place = summary_of(installation), installation.place
    members = ("name", "place", "latitude", "longitude", "hung", "closure", "cables", "trays", "splices", "visits")
    return {
        **{name: getattr(summary, name) for name in members},
        "revision": installation.revision,
        "folded": folded(f"{place.name}\n{place.place}"),
        "contents": written(contents_to(installation.contents)),
        "updated": now,
    }


def _add_visit(connection: Connection, installation_id: str, visit: Visit) -> None:
    row = {"installation_id": installation_id, "number": visit.number, "recorded": visit.recorded}
    connection.execute(insert(VisitRow), {**row, "document": written(visit_to(visit))})


def fetch(connection: Connection, installation_id: str, lock: bool = False) -> Installation:
    """An installation by its id as it stands; raises ``NotFound``. ``lock``: no one else changes it meanwhile."""
    query = select(*_whole).where(mine(connection, _table), _table.c.id == installation_id)
    query = query.with_for_update() if lock else query
    row = connection.execute(query).one_or_none() if keepable(installation_id) else None
    if row is None:
        raise NotFound("There is no such installation.")
    return Installation(
        id=installation_id,
        created=row.created,
        revision=row.revision,
        place=Place(row.name, row.place, row.latitude, row.longitude),
        hung=row.hung,
        contents=contents_from(read(row.contents)),
    )


def revision_of(connection: Connection, installation_id: str, lock: bool = False) -> int:
    """The revision that an installation is at; raises ``NotFound``."""
    query = select(_table.c.revision).where(mine(connection, _table), _table.c.id == installation_id)
    query = query.with_for_update() if lock else query
    found: int | None = connection.scalars(query).one_or_none() if keepable(installation_id) else None
    if found is None:
        raise NotFound("There is no such installation.")
    return found


def insist_not_hung(connection: Connection, plan_id: str) -> None:
    """Raise ``HungAlready`` where a closure hangs by this plan."""
    query = select(_table.c.id, _table.c.name).where(mine(connection, _table), _table.c.plan == plan_id)
    row = connection.execute(query.order_by(_table.c.created, _table.c.id).limit(1)).one_or_none()
    if row is not None:
        raise HungAlready(row.id, row.name)


def visits(connection: Connection, installation_id: str, limit: int, before: int | None) -> list[Visit]:
    """Up to ``limit`` visits, the newest first, from behind the visit of number ``before``."""
    query = select(_visits.c.document).where(_visits.c.installation_id.in_(_this(connection, installation_id)))
    if before is not None:
        query = query.where(_visits.c.number < before)
    return [visit_from(read(text)) for text in connection.scalars(query.order_by(_visits.c.number.desc()).limit(limit))]


def remove(connection: Connection, installation_id: str, revision: int) -> None:
    """Remove an installation with its visits and splice records. Plans into it stay, with what lay there then."""
    note(connection, Noted("remove", "installations", installation_id, revision, None))
    its = _this(connection, installation_id)
    of_it = SpliceRecordRow.installation_id == installation_id
    connection.execute(delete(SpliceRecordRow).where(mine(connection, SpliceRecordRow), of_it))
    connection.execute(delete(VisitRow).where(_visits.c.installation_id.in_(its)))
    connection.execute(delete(InstallationRow).where(mine(connection, _table), _table.c.id == installation_id))


def _this(connection: Connection, installation_id: str) -> Select[str]:
    """The installation of this id where it is the team's own."""
    return select(InstallationRow.id).where(mine(connection, InstallationRow), InstallationRow.id == installation_id)
